"""Makes small WAV and FLAC files with the encoders of other programs: python3 tests/reference/audio_files.py

Writes audio-files.json beside this file: each file in base64 with its original samples. Needs sox and
flac on the path; `madeWith` in the result names the versions.
"""

import base64
import json
import pathlib
import random
import struct
import subprocess
import tempfile
import wave

HERE = pathlib.Path(__file__).parent
SAMPLES = [0, 1, -1, 1000, -20000, 32767, -32768, 12345]


def run(*arguments, data):
    return subprocess.run(arguments, input=data, capture_output=True, check=True).stdout


def python_wav(channels):
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        with wave.open(file.name, "wb") as writer:
            writer.setnchannels(channels)
            writer.setsampwidth(2)
            writer.setframerate(44100)
            writer.writeframes(struct.pack(f"<{len(SAMPLES)}h", *SAMPLES))
        return pathlib.Path(file.name).read_bytes()


def sox_wav(channels, *encoding):
    raw = struct.pack(f"<{len(SAMPLES)}h", *SAMPLES)
    source = ("-t", "raw", "-r", "48000", "-e", "signed", "-b", "16", "-c", str(channels), "-")
    # to a file, since sox cannot state the length in a pipe
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        run("sox", "-D", *source, *encoding, file.name, data=raw)
        return pathlib.Path(file.name).read_bytes()


def flac_file(samples, bits, channels, *options):
    width = (bits + 7) // 8
    raw = b"".join(int(s).to_bytes(width, "little", signed=True) for s in samples)
    layout = ("--force-raw-format", "--endian=little", "--sign=signed", f"--channels={channels}")
    shape = (f"--bps={bits}", "--sample-rate=48000", "--no-padding", "--no-seektable")
    with tempfile.TemporaryDirectory() as directory:
        source = pathlib.Path(directory) / "in.raw"
        source.write_bytes(raw)
        target = pathlib.Path(directory) / "out.flac"
        run("flac", "-s", *layout, *shape, *options, "-o", str(target), str(source), data=b"")
        return target.read_bytes()


def walk(count, step, limit, seed):
    """A bounded random walk: predictable enough for every kind of predictor."""
    source = random.Random(seed)
    value, speed, out = 0.0, 0.0, []
    for _ in range(count):
        speed = 0.97 * speed + source.uniform(-step, step) - 0.02 * value
        value = max(-limit, min(limit, value + speed))
        out.append(round(value))
    return out


def white(count, limit, seed):
    source = random.Random(seed)
    return [source.randint(-limit, limit) for _ in range(count)]


def stereo(left, right):
    return [s for pair in zip(left, right) for s in pair]


def text(data):
    return base64.b64encode(data).decode()


def main():
    mono = walk(500, 300, 30000, 1)
    near = [s + d for s, d in zip(mono, white(500, 20, 2))]
    slope = [3 * n for n in range(500)]
    rough = [s + d for s, d in zip(slope, white(500, 500, 4))]
    loud_burst = [0] * 180 + [20000, -20000] + [0] * 198
    flac = {
        "one block of linear prediction": flac_file(mono, 16, 1, "-8"),
        "fixed prediction in short blocks": flac_file(mono, 16, 1, "-l", "0", "-b", "192"),
        "white noise kept verbatim": flac_file(white(150, 32767, 3), 16, 1),
        "silence": flac_file([0] * 400, 16, 1),
        "a burst in silence": flac_file(loud_burst, 16, 1, "-r", "6"),
        "mid and side": flac_file(stereo(mono, near), 16, 2, "-8"),
        "left and side": flac_file(stereo(slope, rough), 16, 2, "-8"),
        "side and right": flac_file(stereo(rough, slope), 16, 2, "-8"),
        "independent channels": flac_file(stereo(mono, walk(500, 400, 30000, 9)), 16, 2, "--no-mid-side"),
        "wasted bits": flac_file([16 * s for s in walk(300, 30, 2000, 5)], 16, 1, "-5"),
        "24 bits": flac_file(walk(300, 60000, 8000000, 6), 24, 1, "-8"),
        "24 bits of white noise in stereo": flac_file(white(200, 8388607, 7), 24, 2),
        "8 bits in three channels": flac_file(walk(300, 4, 120, 8), 8, 3),
    }
    wav = {
        "16 bits by Python": (python_wav(1), 44100, 1),
        "16 bits in stereo by Python": (python_wav(2), 44100, 2),
        "24 bits, extensible, by sox": (sox_wav(2, "-b", "24"), 48000, 2),
        "32 bits, extensible, by sox": (sox_wav(1, "-b", "32"), 48000, 1),
        "32-bit floating point by sox": (sox_wav(1, "-e", "float", "-b", "32"), 48000, 1),
        "64-bit floating point in four channels by sox": (sox_wav(4, "-e", "float", "-b", "64"), 48000, 4),
    }
    versions = [
        run("sox", "--version", data=b"").decode().split()[-1],
        run("flac", "--version", data=b"").decode().strip(),
    ]
    result = {
        "madeWith": f"sox {versions[0]}, {versions[1]}, tests/reference/audio_files.py",
        "wavSamples": SAMPLES,
        "wav": [
            {"name": n, "sampleRateHz": rate, "channelCount": channels, "base64": text(data)}
            for n, (data, rate, channels) in wav.items()
        ],
        "flac": [{"name": n, "base64": text(data)} for n, data in flac.items()],
    }
    (HERE / "audio-files.json").write_text(json.dumps(result, indent=2) + "\n")


main()
