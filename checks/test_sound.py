"""What is heard, against meters and readers of others.

Fundamental frequencies: numpy's Fourier transform, equal temperament on A4 = 440 Hz (ISO 16).
Loudness and true peak: ITU-R BS.1770-4, by pyloudnorm and by oversampling with scipy.
MIDI: mido. The notes of a piece: music21. FLAC (RFC 9639): libsndfile through soundfile.
"""

import subprocess
import wave
from pathlib import Path

import command
import mido
import numpy
import pyloudnorm
import pytest
import soundfile
from conftest import DEMO
from music21 import converter
from scipy.signal import resample_poly

RATE = 48_000
OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
FRETS = 19


def samples(path: Path) -> numpy.ndarray:
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getsampwidth()) == (RATE, 2)
        frames = numpy.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
        return frames.reshape(-1, file.getnchannels()).astype(float) / 32768


@pytest.fixture(scope="module")
def places(apoyando, tmp_path_factory) -> Path:
    """Every string at every fret, alone."""
    folder = tmp_path_factory.mktemp("places")
    subprocess.run([command.example(apoyando, "every-place"), folder], check=True)
    return folder


def place(folder: Path, string: int, fret: int) -> numpy.ndarray:
    return samples(folder / f"{string}-{fret}-1-free-middle.wav")[:, 0]


def partial(sound: numpy.ndarray, frequency: float, begin: float, length: float):
    """Frequency and decay of a partial: its phase and size as they go on, freed of the
    partials beside it by a window of whole periods."""
    stretch = slice(int(begin * RATE), int((begin + length) * RATE))
    times = numpy.arange(len(sound))[stretch] / RATE
    turned = sound[stretch] * numpy.exp(-2j * numpy.pi * frequency * times)
    periods = max(round(frequency * 0.1), 8)
    window = numpy.hanning(round(RATE / frequency * periods))
    smooth = numpy.convolve(turned, window / window.sum(), "valid")[::40]
    seconds = numpy.arange(len(smooth)) * 40 / RATE
    weight = numpy.abs(smooth)
    slope = numpy.polyfit(seconds, numpy.unwrap(numpy.angle(smooth)), 1, w=weight)[0]
    decay = numpy.polyfit(seconds, numpy.log(weight), 1, w=weight)[0]
    return frequency + slope / (2 * numpy.pi), -decay


@pytest.mark.parametrize("string", OPEN)
def test_every_fret_is_in_tune(places, string):
    """Within one cent of equal temperament."""
    for fret in range(FRETS + 1):
        wanted = 440 * 2 ** ((OPEN[string] + fret - 69) / 12)
        sound = place(places, string, fret)
        found, _ = partial(sound, wanted, 0.1, min(1.4, len(sound) / RATE - 0.2))
        cents = 1200 * numpy.log2(found / wanted)
        assert abs(cents) < 1, f"string {string}, fret {fret}: {cents:+.2f} cents"


# Nylon strings of a guitar: tension in N, mass in kg to the metre, bending stiffness in N m²,
# losses by friction, to the air in 1/s, and by bending. Woodhouse, "On the synthesis of guitar
# plucks", Acta Acustica united with Acustica 90 (2004), table 1; from memory.
NYLON = {
    1: (70.3, 0.38e-3, 130e-6, 40e-5, 1.5, 2.4e-2),
    2: (53.4, 0.52e-3, 160e-6, 40e-5, 1.2, 2.0e-2),
    3: (58.3, 0.90e-3, 310e-6, 14e-5, 1.7, 2.0e-2),
    4: (71.2, 1.95e-3, 51e-6, 5e-5, 1.2, 2.0e-2),
    5: (73.9, 3.61e-3, 40e-6, 7e-5, 0.9, 2.5e-2),
    6: (71.6, 6.24e-3, 57e-6, 2e-5, 1.2, 2.0e-2),
}
# The length they were measured at, in metres.
LENGTH = 0.65


@pytest.mark.parametrize("string", NYLON)
def test_partials_die_as_those_of_nylon_strings(places, string):
    """Each of the first ten dies faster than the string by itself, as its published losses give
    it here apart from the program; by no more than 1/s, for what the body takes (common practice,
    no source)."""
    tension, mass, stiffness, friction, air, bending = NYLON[string]
    sound = place(places, string, 0)
    limp = numpy.sqrt(tension / mass) / (2 * LENGTH)
    open_pitch = 440 * 2 ** ((OPEN[string] - 69) / 12)
    assert abs(1200 * numpy.log2(limp / open_pitch)) < 25, "the table is that of a guitar"
    for number in range(1, 11):
        wave = number * numpy.pi / LENGTH
        stiff = stiffness * wave**2 / tension
        once = stiffness * (numpy.pi / LENGTH) ** 2 / tension
        pitch = number * open_pitch * numpy.sqrt((1 + stiff) / (1 + once))
        turning = 2 * numpy.pi * pitch
        lost = (friction + air / turning + stiff * bending) / (1 + stiff)
        own = turning * lost / 2
        _, found = partial(sound, pitch, 0.1, min(1.4, 4 / own))
        assert own < found < own + 1, f"partial {number}: {found:.2f} /s, by itself {own:.2f}"


def test_open_strings_ring_for_seconds(places):
    """60 dB in 2 to 12 s at open nylon strings, and what is stopped dies sooner: common
    practice, no source."""
    for string in OPEN:
        pitch = 440 * 2 ** ((OPEN[string] - 69) / 12)
        _, open_decay = partial(place(places, string, 0), pitch, 0.1, 1.4)
        ring = numpy.log(1000) / open_decay
        assert 2 < ring < 12, f"string {string}: {ring:.1f} s"
        _, stopped = partial(place(places, string, 1), pitch * 2 ** (1 / 12), 0.1, 1.4)
        assert stopped > open_decay


def sounded(apoyando, piece: Path, out: Path) -> Path:
    """How a piece sounds, in a file whose ending says the format."""
    done = subprocess.run(
        [apoyando, "finger", piece, "--show", "summary", "--sound", out],
        capture_output=True,
        text=True,
    )
    assert out.is_file(), done.stderr
    return out


HEAD = "X:1\nT:Try\nM:4/4\nL:1/4\nQ:1/4=120\nK:C clef=treble-8\n"


def test_notes_begin_when_they_are_written(apoyando, tmp_path):
    """Within a thousandth of a second."""
    piece = tmp_path / "beats.abc"
    piece.write_text(HEAD + ".c/z/z .e/z/z|.g/z/z .c'/z/z|.G/z/z .E/z/z|.c2 z2|\n")
    left = samples(sounded(apoyando, piece, tmp_path / "beats.wav"))[:, 0]
    for beat in range(7):
        at = int(beat * RATE)
        before = numpy.abs(left[max(at - 4800, 0) : at - 48 or None]).max(initial=0) if at else 0
        after = numpy.abs(left[at : at + 4800])
        # From silence to a twentieth of its peak.
        rises = int(numpy.argmax(after > 0.05 * after.max()))
        assert before < 0.02 * after.max(), f"beat {beat}"
        assert rises / RATE < 0.001, f"beat {beat}: {rises / RATE * 1000:.2f} ms"


PIECES = sorted((DEMO / "pieces").glob("*.musicxml"))


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece.stem)
def test_files_are_as_loud_as_promised(apoyando, tmp_path, piece):
    """−16 LUFS integrated, at most −1 dBTP."""
    both = samples(sounded(apoyando, piece, tmp_path / "piece.wav"))
    loudness = pyloudnorm.Meter(RATE).integrated_loudness(both)
    assert abs(loudness + 16) < 0.3, loudness
    peak = 20 * numpy.log10(numpy.abs(resample_poly(both, 8, 1, axis=0)).max())
    assert peak <= -1, peak


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece.stem)
def test_midi_has_the_notes_of_the_score(apoyando, tmp_path, piece):
    """Begin and pitch of every note as music21 unfolds them."""
    file = mido.MidiFile(sounded(apoyando, piece, tmp_path / "piece.mid"))
    heard = []
    for track in file.tracks:
        now, open_keys = 0, {}
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                heard.append((round(now / file.ticks_per_beat, 4), message.note))
                open_keys[message.note] = now
            elif message.type == "note_off":
                assert now > open_keys.pop(message.note), "a note ends after it begins"
        assert not open_keys
    written = []
    for part in converter.parse(piece).parts:
        for note in part.expandRepeats().stripTies().flatten().notes:
            for pitch in note.pitches:
                written.append((round(float(note.offset), 4), pitch.midi))
    assert sorted(heard) == sorted(written)


def test_flac_holds_what_wav_holds(apoyando, tmp_path):
    piece = PIECES[0]
    plain = samples(sounded(apoyando, piece, tmp_path / "piece.wav"))
    packed, rate = soundfile.read(sounded(apoyando, piece, tmp_path / "piece.flac"))
    assert rate == RATE
    assert numpy.array_equal(packed, plain)
