//! Notes of the melody that come again after others (model §2).

use super::music::Music;
use super::sounds::Sound;

/// From how many layers before a note may come again at the most.
pub(crate) const FARTHEST: usize = 4;

/// How soon it has to, in milliseconds.
const SOON: i64 = 3000;

/// By layer, how many layers before it the note of the melody was struck that comes
/// again there; 0 if none does. `time` gives the milliseconds between two layers.
///
/// Of two notes of which the layers between are in part the same only one counts, so
/// that the hand has one to remember at a time.
pub(crate) fn again(music: &Music, time: impl Fn(usize, usize) -> i64) -> Vec<usize> {
    let count = music.layers.len();
    let mut again = vec![0; count];
    let mut between = vec![false; count];
    for back in 2..=FARTHEST {
        for layer in back..count {
            let first = layer - back;
            if between[first + 1..layer].iter().all(|taken| !taken)
                && comes_again(music, first, layer)
                && time(first, layer) < SOON
            {
                again[layer] = back;
                between[first + 1..layer].fill(true);
            }
        }
    }
    again
}

/// The only plain note of the melody that is struck at a layer.
pub(crate) fn sung(music: &Music, layer: usize) -> Option<&Sound> {
    let struck = &music.sounds[music.layers[layer].struck()];
    let mut sung = struck.iter().filter(|sound| sound.is_sung());
    sung.next().filter(|_| sung.next().is_none())
}

/// Whether one note of the melody is struck at both layers and nowhere between, the
/// second in no chord, broken ones among them, and these are played in their order.
fn comes_again(music: &Music, first: usize, layer: usize) -> bool {
    let (Some(was), Some(is)) = (sung(music, first), sung(music, layer)) else { return false };
    let here = &music.layers[layer];
    // A chord is taken as its shape wants it, broken or not.
    let thin = here.is_thin() && here.figure.is_none();
    let reached = (first + 1..=layer).all(|layer| music.is_reached(layer));
    let between = music.layers[first + 1].first..music.layers[layer].first;
    let same = was.key == is.key && thin && reached;
    same && music.sounds[between].iter().all(|sound| sound.key != is.key)
}
