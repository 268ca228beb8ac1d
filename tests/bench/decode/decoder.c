/*
 * The same decoding by hand in C: packets (COBS, CRC-32 by one table, as small devices do it, or by eight,
 * as ours does) and lines, from a file into columns of doubles. Prints nanoseconds a frame and a sum.
 *   cc -O2 -o decoder decoder.c && ./decoder packets|packets8|lines FILE CHANNELS
 */
#define _POSIX_C_SOURCE 199309L
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MOST_CHANNELS = 17, BLOCK = 20, PASSES = 15 };

static uint32_t table[8][256];
static double columns[MOST_CHANNELS][BLOCK];
static int channels, at;
static double sum;
static long frames;

static void emit(void) {
  for (int c = 0; c < channels; c++) sum += columns[c][at - 1];
  at = 0;
}

static void make_tables(void) {
  for (uint32_t byte = 0; byte < 256; byte++) {
    uint32_t crc = byte;
    for (int bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
    table[0][byte] = crc;
  }
  for (int k = 1; k < 8; k++)
    for (int byte = 0; byte < 256; byte++)
      table[k][byte] = (table[k - 1][byte] >> 8) ^ table[0][table[k - 1][byte] & 255];
}

static uint32_t crc32(const uint8_t *b, int n, int by_eight) {
  uint32_t crc = 0xFFFFFFFF;
  for (; by_eight && n >= 8; n -= 8, b += 8) {
    uint32_t low, high;
    memcpy(&low, b, 4);
    memcpy(&high, b + 4, 4);
    low ^= crc;
    crc = table[7][low & 255] ^ table[6][low >> 8 & 255] ^ table[5][low >> 16 & 255] ^ table[4][low >> 24] ^
          table[3][high & 255] ^ table[2][high >> 8 & 255] ^ table[1][high >> 16 & 255] ^ table[0][high >> 24];
  }
  for (; n > 0; n--, b++) crc = crc >> 8 ^ table[0][(crc ^ *b) & 255];
  return crc ^ 0xFFFFFFFF;
}

static void read_packet(const uint8_t *frame, int length, int by_eight) {
  static uint8_t body[33000];
  int n = 0;
  for (int k = 0; k < length;) {
    int code = frame[k], next = k + code;
    if (code == 0 || next > length) return;
    for (k++; k < next; k++) body[n++] = frame[k];
    if (code != 255 && k < length) body[n++] = 0;
  }
  uint32_t crc;
  if (n < 4) return;
  memcpy(&crc, body + n - 4, 4);
  if (crc32(body, n - 4, by_eight) != crc || body[0] != 0x53) return;
  int samples = body[3];
  if (n != 18 + samples * channels * 2 + 4) return;
  const uint8_t *value = body + 18;
  for (int i = 0; i < samples; i++) {
    for (int c = 0; c < channels; c++, value += 2) {
      int16_t whole;
      memcpy(&whole, value, 2);
      columns[c][at] = whole;
    }
    frames++;
    if (++at == BLOCK) emit();
  }
}

static void read_line(const char *text, int length) {
  const char *end = text + length;
  double row[MOST_CHANNELS];
  int n = 0;
  while (text < end && n < channels) {
    int negative = *text == '-', decimals = 0, seen = 0;
    double mantissa = 0;
    static const double powers[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    text += negative;
    for (; text < end && *text != ','; text++) {
      if (*text == '.') { seen = 1; continue; }
      if (*text < '0' || *text > '9') return;
      mantissa = mantissa * 10 + (*text - '0');
      decimals += seen;
    }
    mantissa /= powers[decimals];
    row[n++] = negative ? -mantissa : mantissa;
    text++;
  }
  if (n != channels) return;
  for (int c = 0; c < channels; c++) columns[c][at] = row[c];
  frames++;
  if (++at == BLOCK) emit();
}

static int by_time(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

int main(int argc, char **argv) {
  if (argc != 4) return 2;
  int is_lines = strcmp(argv[1], "lines") == 0, by_eight = strcmp(argv[1], "packets8") == 0;
  FILE *file = fopen(argv[2], "rb");
  channels = atoi(argv[3]);
  if (file == NULL || channels > MOST_CHANNELS) return 2;
  fseek(file, 0, SEEK_END);
  long size = ftell(file);
  rewind(file);
  uint8_t *bytes = malloc((size_t)size);
  if (bytes == NULL || fread(bytes, 1, (size_t)size, file) != (size_t)size) return 2;
  make_tables();
  double times[PASSES];
  for (int pass = 0; pass < PASSES; pass++) {
    struct timespec from, to;
    frames = at = 0;
    sum = 0;
    clock_gettime(CLOCK_MONOTONIC, &from);
    long first = 0;
    for (long k = 0; k < size; k++) {
      if (bytes[k] != (is_lines ? '\n' : 0)) continue;
      if (is_lines) read_line((const char *)bytes + first, (int)(k - first));
      else read_packet(bytes + first, (int)(k - first), by_eight);
      first = k + 1;
    }
    clock_gettime(CLOCK_MONOTONIC, &to);
    times[pass] = ((to.tv_sec - from.tv_sec) * 1e9 + (to.tv_nsec - from.tv_nsec)) / (double)frames;
  }
  qsort(times, PASSES, sizeof times[0], by_time);
  printf("{\"ns\":%.3f,\"frames\":%ld,\"checksum\":%.17g}\n", times[PASSES / 2], frames, sum);
  return 0;
}
