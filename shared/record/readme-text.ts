/** The text that lies in every recording: what is in the folder, and how to read it without us. */

export const README_TEXT = String.raw`This folder is one recording of Momentarm. Nothing in it needs Momentarm to be read.

start.json      what was known when it began: subject code, wiring with calibrations, conditions
stream-N.blk    the samples as they came from the device, before calibration, in checked blocks
events.jsonl    what happened, one JSON object a line, "at" is the index of a sample
stop.json       how it ended: counts, and SHA-256 of every file. Without it the end is missing
edits.jsonl     what people decided about it later, in the order of time (only if they did)
undecoded.bin   bytes of the device that could not be read (only if there were any)
overview-N.bin  can be deleted, as can results.json: they are made again from the rest

Every number is little-endian. A .blk file begins with a head: 8 letters, its length H (u32), the
length L of a JSON text (u32), that text, zeros, and a CRC-32 of all before it. After H bytes come
blocks of equal length; "numpy" in the JSON names their fields in order. Values stand at the places
whose bit in "present" is 1; the place k of a block is sample index + k of the stream. Seconds since
the first sample are (index - firstIndex) / rate_Hz, with firstIndex from stop.json. A missing index
is a missing sample. headCrc is the CRC-32 of bytes 0 to 51 of a block, payloadCrc that of bytes 56 to
its end. If the same index stands in two files (the disk had an error in between), both hold the same
sample. In the JSON files "crc32" is that of every byte before the comma in front of it.

--- Python (numpy) ---
import json, struct, zlib
import numpy as np

def read_stream(path):
    raw = open(path, "rb").read()
    size, length = struct.unpack("<II", raw[8:16])
    head = json.loads(raw[16:16 + length])
    dtype = np.dtype([(name, kind, tuple(shape)) for name, kind, shape in head["numpy"]])
    blocks = np.frombuffer(raw, dtype, (len(raw) - size) // dtype.itemsize, size)
    bodies = [block.tobytes() for block in blocks]
    sound = [zlib.crc32(body[:52]) == block["headCrc"] and zlib.crc32(body[56:]) == block["payloadCrc"]
             for body, block in zip(bodies, blocks)]
    blocks = blocks[np.array(sound, bool)]
    present = np.unpackbits(blocks["present"], axis=1, bitorder="little").astype(bool)
    index = (blocks["index"][:, None] + np.arange(head["capacity"]))[present]
    columns = {}
    for i, channel in enumerate(head["channels"]):
        values = blocks[f"c{i}"]
        if channel["stored"] == "int24":
            values = np.pad(values, ((0, 0), (0, 0), (1, 0))).view("<i4")[..., 0] >> 8
        columns[channel["name"]] = values[present]
    return head, index, columns

head, index, columns = read_stream("stream-0.blk")
time_s = (index - index[0]) / head["rate_Hz"]

--- R (jsonlite); these lines do not look at the checksums ---
library(jsonlite)

read_stream <- function(path) {
  raw <- readBin(path, "raw", file.size(path))
  unsigned <- function(bytes, width)
    colSums(matrix(as.integer(bytes), nrow = width) * 256^(seq_len(width) - 1))
  size <- unsigned(raw[9:12], 4)
  head <- fromJSON(rawToChar(raw[16 + seq_len(unsigned(raw[13:16], 4))]))
  n <- (length(raw) - size) %/% head$stride
  blocks <- matrix(raw[size + seq_len(n * head$stride)], nrow = head$stride)
  field <- function(at, bytes) as.vector(blocks[at + seq_len(bytes), ])
  places <- seq_len(head$capacity) - 1
  present <- as.logical(rawToBits(field(56, head$capacity / 8)))
  columns <- lapply(seq_len(nrow(head$channels)), function(i) {
    channel <- head$channels[i, ]
    bytes <- field(channel$offset, channel$bytes * head$capacity)
    count <- length(bytes) / channel$bytes
    values <- switch(channel$stored,
      int16 = readBin(bytes, "integer", count, 2, endian = "little"),
      int24 = (unsigned(bytes, 3) + 2^23) %% 2^24 - 2^23,
      float32 = readBin(bytes, "numeric", count, 4, endian = "little"),
      float64 = readBin(bytes, "numeric", count, 8, endian = "little"))
    values[present]
  })
  names(columns) <- head$channels$name
  index <- as.vector(outer(places, unsigned(field(16, 8), 8), "+"))[present]
  data.frame(index = index, time_s = (index - index[1]) / head$rate_Hz, columns, check.names = FALSE)
}

samples <- read_stream("stream-0.blk")
`;
