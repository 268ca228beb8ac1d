/*
 * An emitter written from README alone: lines or packets on standard output.
 *   cc -O2 -o emitter emitter.c && ./emitter packets int16 60000 > /dev/ttyUSB0
 * Channel c of sample i is ((7 i + 1000 c) mod 20001) - 10000, an eighth of it in the float types.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHANNELS = 3, PER_PACKET = 20, RATE_HZ = 1000 };

static const char *const TYPES[] = {"", "int16", "int24", "float32", "float64"};
static const int BYTES[] = {0, 2, 3, 4, 8};

static int32_t whole(uint32_t i, int c) { return (int32_t)((7 * i + 1000 * c) % 20001) - 10000; }

static uint32_t crc32(const uint8_t *bytes, int n) {
  uint32_t crc = 0xFFFFFFFF;
  for (int k = 0; k < n; k++) {
    crc ^= bytes[k];
    for (int bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
  }
  return crc ^ 0xFFFFFFFF;
}

static int put(uint8_t *at, uint32_t value, int n) {
  for (int k = 0; k < n; k++) at[k] = (uint8_t)(value >> (8 * k));
  return n;
}

/* Adds the CRC-32 to a body of n bytes, writes it as one frame and gives the CRC. */
static uint32_t send(uint8_t *body, int n) {
  uint32_t crc = crc32(body, n);
  n += put(body + n, crc, 4);
  int first = 0, end = 0;
  for (;;) {
    while (end < n && body[end] != 0 && end - first < 254) end++;
    putchar(end - first + 1);
    fwrite(body + first, 1, end - first, stdout);
    if (end == n) break;
    if (end - first < 254) end++; /* the zero itself */
    first = end;
  }
  putchar(0);
  return crc;
}

static uint32_t send_description(int type) {
  uint8_t body[1000];
  int n = snprintf((char *)body, sizeof body,
                   "D{\"rate_Hz\":%d,\"tick_Hz\":1000000,\"type\":\"%s\",\"channels\":["
                   "{\"name\":\"torque\",\"unit\":\"V\",\"slope\":0.001},"
                   "{\"name\":\"angle\",\"unit\":\"V\"},{\"name\":\"emg\"}]}",
                   RATE_HZ, TYPES[type]);
  return send(body, n);
}

static void send_samples(int type, uint32_t description, uint32_t first, int n, uint16_t number) {
  uint8_t body[18 + 255 * CHANNELS * 8 + 4] = {'S', CHANNELS, (uint8_t)type, (uint8_t)n};
  int at = 4;
  at += put(body + at, description, 4);
  at += put(body + at, first, 4);
  at += put(body + at, first * (1000000 / RATE_HZ), 4);
  at += put(body + at, number, 2);
  for (int i = 0; i < n; i++) {
    for (int c = 0; c < CHANNELS; c++) {
      double value = whole(first + i, c) / 8.0;
      float narrow = (float)value;
      if (type == 3) memcpy(body + at, &narrow, 4);
      else if (type == 4) memcpy(body + at, &value, 8);
      else put(body + at, (uint32_t)whole(first + i, c), BYTES[type]);
      at += BYTES[type];
    }
  }
  send(body, at);
}

int main(int argc, char **argv) {
  int isPackets = argc > 1 && strcmp(argv[1], "packets") == 0, type = 1;
  for (int t = 1; t <= 4; t++) if (argc > 2 && strcmp(argv[2], TYPES[t]) == 0) type = t;
  uint32_t samples = argc > 3 ? (uint32_t)atol(argv[3]) : 1000, description = 0;
  if (isPackets) putchar(0);
  for (uint32_t i = 0; i < samples; i += isPackets ? PER_PACKET : 1) {
    if (!isPackets) {
      if (i % 5000 == 0) printf("# rate_Hz: %d\ntime_us,torque,angle,emg\n", RATE_HZ);
      printf("%u", i * (1000000 / RATE_HZ));
      for (int c = 0; c < CHANNELS; c++) printf(",%.3f", whole(i, c) / 8.0);
      printf("\n");
      continue;
    }
    if (i % RATE_HZ == 0) description = send_description(type);
    int n = samples - i < PER_PACKET ? (int)(samples - i) : PER_PACKET;
    send_samples(type, description, i, n, (uint16_t)(i / PER_PACKET));
  }
  return 0;
}
