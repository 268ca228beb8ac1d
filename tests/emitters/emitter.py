"""An emitter written from README alone: lines or packets on standard output.

    python3 emitter.py packets int16 60000 > /dev/ttyUSB0

Channel c of sample i is ((7 i + 1000 c) mod 20001) - 10000, an eighth of it in the float types.
"""
import json
import struct
import sys
import zlib

RATE_HZ = 1000
PER_PACKET = 20
CHANNELS = [{"name": "torque", "unit": "V", "slope": 0.001}, {"name": "angle", "unit": "V"}, {"name": "emg"}]
CODES = {"int16": 1, "int24": 2, "float32": 3, "float64": 4}


def whole(i, c):
    return (7 * i + 1000 * c) % 20001 - 10000


def cobs(body):
    out = bytearray()
    pieces = body.split(b"\0")
    for k, piece in enumerate(pieces):
        while len(piece) >= 254:
            out += b"\xff" + piece[:254]
            piece = piece[254:]
            if not piece and k == len(pieces) - 1:
                return bytes(out)
        out += bytes([len(piece) + 1]) + piece
    return bytes(out)


def frame(body):
    return cobs(body + struct.pack("<I", zlib.crc32(body))) + b"\0"


def value(kind, i, c):
    if kind == "int16":
        return struct.pack("<h", whole(i, c))
    if kind == "int24":
        return struct.pack("<i", whole(i, c))[:3]
    return struct.pack("<f" if kind == "float32" else "<d", whole(i, c) / 8)


def packets(kind, samples):
    yield b"\0"
    text = json.dumps({"rate_Hz": RATE_HZ, "tick_Hz": RATE_HZ, "type": kind, "channels": CHANNELS})
    description = b"D" + text.encode("ascii")
    identity = zlib.crc32(description)
    for number, first in enumerate(range(0, samples, PER_PACKET)):
        if first % RATE_HZ == 0:
            yield frame(description)
        n = min(PER_PACKET, samples - first)
        head = struct.pack("<BBBBIIIH", 0x53, len(CHANNELS), CODES[kind], n, identity, first % 2**32, first % 2**32, number % 2**16)
        rows = [value(kind, i, c) for i in range(first, first + n) for c in range(len(CHANNELS))]
        yield frame(head + b"".join(rows))


def lines(samples):
    for i in range(samples):
        if i % 5000 == 0:
            yield f"# rate_Hz: {RATE_HZ}\nsample;torque;angle;emg\r\n".encode()
        yield (";".join([str(i)] + [repr(whole(i, c) / 8) for c in range(len(CHANNELS))]) + "\r\n").encode()


if __name__ == "__main__":
    wire, kind, samples = sys.argv[1], sys.argv[2], int(sys.argv[3])
    for piece in packets(kind, samples) if wire == "packets" else lines(samples):
        sys.stdout.buffer.write(piece)
