use super::*;
use crate::performance::perform;

fn stereo(body: &str) -> Stereo {
    let text = format!("X:1\nT:Try\nM:4/4\nL:1/8\nQ:1/4=96\nK:C clef=treble-8\n{body}\n");
    let reading = apoyando_formats::read("try.abc", text.as_bytes()).expect("ABC");
    let guitar = Instrument::guitar();
    let performance = perform(&reading.pieces[0].score, &[None], &guitar).expect("playing order");
    Studio::new(&guitar, A4).mix(&performance, &|_| true)
}

/// −16 LUFS integrated and at most −1 dBTP, by ITU-R BS.1770 as the library `ebur128` has it.
#[test]
fn files_are_as_loud_as_one_another() {
    for body in
        ["C2E2G2c2|e2g2c'2e2|G2E2C4|", "!p!C8|!ff![CEGceg]8|!p!C8|", "cdef gabc'|c'bag fedc|"]
    {
        let level = measured(&levelled(stereo(body))).expect("a level");
        assert!((level.integrated - LOUDNESS).abs() < 0.1, "{body}: {level:?}");
        assert!(level.peak <= PEAK, "{body}: {level:?}");
    }
}

#[test]
fn what_is_below_the_ceiling_is_left_alone() {
    let soft = stereo("C2E2G2c2|");
    assert_eq!(limit::limited(soft.clone(), Decibels(6.0)), soft);
    let held = limit::limited(soft.clone().louder(Decibels(12.0)), Decibels(-3.0));
    let ceiling = Decibels(-3.0).factor() as f32 * 1.0001;
    assert!(held.left.iter().chain(&held.right).all(|sample| sample.abs() <= ceiling));
    assert_eq!(held.left.len(), soft.left.len());
}

#[test]
fn silence_stays_silent() {
    let none = levelled(Stereo::default());
    assert!(none.left.is_empty());
}

/// A string that is damped dies within a tenth of a second.
#[test]
fn a_damped_string_is_soon_quiet() {
    let rest = stereo("C2 z6|z8|");
    let rate = f64::from(SAMPLE_RATE);
    // The note is over after a quarter at 96: 0.625 s.
    let loud = |from: f64, to: f64| {
        let samples =
            &rest.left[(from * rate) as usize..((to * rate) as usize).min(rest.left.len())];
        samples.iter().fold(0.0f32, |most, it| most.max(it.abs()))
    };
    assert!(loud(0.73, 0.8) < 0.02 * loud(0.5, 0.6));
}

#[test]
fn parts_sit_beside_one_another_and_can_be_left_out() {
    let text =
        "X:1\nT:Two\nM:4/4\nL:1/4\nQ:1/4=96\nK:C clef=treble-8\nV:1\nc4|\nV:2 clef=treble-8\nC4|\n";
    let reading = apoyando_formats::read("two.abc", text.as_bytes()).expect("ABC");
    let guitar = Instrument::guitar();
    let performance = perform(&reading.pieces[0].score, &[None, None], &guitar).expect("order");
    let mut studio = Studio::new(&guitar, A4);
    let energy = |samples: &[f32]| samples.iter().map(|it| f64::from(*it).powi(2)).sum::<f64>();
    let first = studio.mix(&performance, &|part| part == PartIndex(0));
    assert!(energy(&first.left) > 1.5 * energy(&first.right));
    let second = studio.mix(&performance, &|part| part == PartIndex(1));
    assert!(energy(&second.right) > 1.5 * energy(&second.left));
    let both = studio.mix(&performance, &|_| true);
    let longest = first.left.len().max(second.left.len());
    assert_eq!(both.left.len(), longest);
    let at = 12_000;
    assert!((both.left[at] - first.left[at] - second.left[at]).abs() < 1e-6);
}

#[test]
fn sounds_have_names_that_are_read_again() {
    for name in ["2-1-1-free-middle", "6-0-3-thumb-hard", "4-12-1-left-soft", "1-3-1-rest-middle"] {
        assert_eq!(name.parse::<Sounding>().map(|it| it.to_string()).as_deref(), Ok(name));
    }
    for name in ["", "2-1-1-free", "0-1-1-free-middle", "2-1-1-nail-middle", "2-1-1-free-middle-x"]
    {
        assert!(name.parse::<Sounding>().is_err(), "{name}");
    }
}
