use apoyando_fretboard::Instrument;

use super::*;
use crate::performance::perform;

/// Two channels whose samples count up.
fn channels() -> [Vec<f32>; 2] {
    let left: Vec<f32> = (0..5000).map(|at| (at as f32 * 0.01).sin() * 0.5).collect();
    let right = left.iter().map(|sample| -sample).collect();
    [left, right]
}

/// RIFF as `hound` reads it.
#[test]
fn a_wav_file_holds_the_samples() {
    let [left, right] = channels();
    let bytes = wav(&[&left, &right]).expect("a file");
    let reader = hound::WavReader::new(&bytes[..]).expect("WAV");
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (2, 48_000, 16));
    let samples: Vec<i16> = reader.into_samples().collect::<Result<_, _>>().expect("samples");
    assert_eq!(samples.len(), 10_000);
    assert_eq!(i32::from(samples[200]), step(left[100]));
    assert_eq!(i32::from(samples[201]), step(right[100]));
}

/// RFC 9639: the stream begins with fLaC and STREAMINFO, which says rate, channels and bits.
#[test]
fn a_flac_file_says_what_it_holds() {
    let [left, right] = channels();
    let bytes = flac(&[&left, &right]).expect("a file");
    assert_eq!(&bytes[..4], b"fLaC");
    assert_eq!(bytes[4] & 0x7f, 0);
    let packed = u64::from_be_bytes(bytes[18..26].try_into().unwrap());
    assert_eq!(packed >> 44, 48_000);
    assert_eq!((packed >> 41) & 7, 1);
    assert_eq!((packed >> 36) & 31, 15);
    assert_eq!(packed & 0xf_ffff_ffff, 5000);
    assert_eq!(flac(&[&left, &right]).expect("a file"), bytes, "the same bytes twice");
}

/// The worked example of *Standard MIDI Files 1.0*: quantities of variable length.
#[test]
fn a_midi_file_has_a_track_to_each_part_and_one_of_tempos() {
    let text = "X:1\nT:Two\nM:3/4\nL:1/4\nQ:1/4=90\nK:C clef=treble-8\nV:1\nCDE|\nV:2 clef=treble-8\nC3|\n";
    let reading = apoyando_formats::read("two.abc", text.as_bytes()).expect("ABC");
    let score = &reading.pieces[0].score;
    let performance = perform(score, &[None, None], &Instrument::guitar()).expect("order");
    let bytes = midi(score, &performance, &|_| true);
    assert_eq!(&bytes[..14], b"MThd\0\0\0\x06\0\x01\0\x03\x03\xc0");
    let tracks = bytes.windows(4).filter(|window| window == b"MTrk").count();
    assert_eq!(tracks, 3);
    // 60 / 90 s a quarter: 666 667 microseconds.
    let tempo = [&[0xff, 0x51, 3][..], &666_667u32.to_be_bytes()[1..]].concat();
    assert!(bytes.windows(6).any(|window| window == tempo));
    assert!(bytes.windows(7).any(|window| window == [0xff, 0x58, 4, 3, 2, 24, 8]));
    let ons = bytes.windows(2).filter(|window| window[0] == 0x90 && window[1] < 0x80).count();
    assert_eq!(ons, 3);
}

#[test]
fn samples_beyond_the_limit_are_held_there() {
    assert_eq!([step(2.0), step(-2.0), step(0.0), step(1.0)], [32_767, -32_768, 0, 32_767]);
}
