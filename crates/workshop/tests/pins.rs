//! What the author decides about a note of an exercise.

mod one_scale;

use apoyando_fingering::Severity;
use apoyando_workshop::Built;
use one_scale::built;

/// A progression with shapes of its own, after the scale.
fn progression(name: &str, pins: &str) -> Built {
    let words = "[[items]]\nkind = \"progression\"\ndegrees = \"I V7 I\"\npattern = \"p i m i\"\n";
    built(name, &format!("{words}{pins}"))
}

/// The fingers of the C of the broken chord in bar 4, and of the same note once more.
fn fingers_of_c(built: &Built) -> [Option<u8>; 2] {
    let item = built.items.last().unwrap();
    let fingering = item.parts[0].fingering.as_ref().expect("a fingering");
    let tones = item.score.tones(item.parts[0].part);
    let finger = |beat: &str| {
        let place = (4, beat.to_owned());
        let found =
            tones.as_slice().iter().find(|tone| item.score.bar_and_beat(tone.onset) == place);
        fingering.tone(found?.id).left?.finger.map(|finger| finger.digit())
    };
    [finger("2"), finger("4")]
}

#[test]
fn the_author_outranks_the_shape_of_an_exercise() {
    let as_written = progression("pins-none", "");
    let decided = "[[items.pins]]\nbar = 4\nbeat = 2\nfinger = 4\n";
    let otherwise = progression("pins-one", decided);
    assert_eq!(fingers_of_c(&as_written), [Some(1), Some(1)]);
    assert_eq!(fingers_of_c(&otherwise), [Some(4), Some(1)]);
    let errors = |it: &Built| it.findings.iter().filter(|f| f.severity == Severity::Error).count();
    assert_eq!(errors(&otherwise), 0, "{:?}", otherwise.findings);
}
