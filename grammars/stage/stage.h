// stage.h: the bench that a style is played on: blade, clock, events, sensors, noise, frames out.
// C++98, no dependence on any generation. A generation's header includes it and defines
//     template <class STYLE> class wick_performer;   // global namespace
// with   explicit wick_performer(const stage::Scene&);
//        void draw(int64_t t_us, unsigned char* rgb);   // pixels() * 3 duties; called in time order
#ifndef STAGE_H
#define STAGE_H
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <string>
#include <utility>
#include <vector>

namespace stage {

enum Event { IGNITE, RETRACT, CLASH, BLAST, LOCK, DRAG, MELT, EVENTS };
enum Sensor { SWING, TWIST, TILT, SOUND, SENSORS };

struct Occurrence {
  int64_t start, end;  // microseconds; of an instant event, end == start
  double place, strength;
};

class Scene {
 public:
  Scene() : pixels_(0), per_metre_(0), step_num_(0), step_den_(1), frames_(0) {}

  int pixels() const { return pixels_; }
  double per_metre() const { return per_metre_; }
  long frames() const { return frames_; }
  int64_t time_of(long frame) const { return int64_t(frame) * step_num_ / step_den_; }

  // Every occurrence of one kind, in the scene's order.
  const std::vector<Occurrence>& all(Event e) const { return events_[e]; }

  // The ordinal of the latest occurrence that has started at t, or -1.
  int latest(Event e, int64_t t) const {
    const std::vector<Occurrence>& list = events_[e];
    int found = -1;
    for (size_t i = 0; i < list.size(); ++i)
      if (list[i].start <= t) found = int(i);
    return found;
  }

  // deg/s, degrees, or 0 to 1; linear between knots, constant outside, 0 with no curve.
  double sensor(Sensor which, int64_t t) const {
    const std::vector<std::pair<int64_t, double> >& k = sensors_[which];
    if (k.empty()) return 0.0;
    if (t <= k.front().first) return k.front().second;
    for (size_t i = 1; i < k.size(); ++i)
      if (t < k[i].first) {
        const double v0 = k[i - 1].second, v1 = k[i].second;
        return v0 + (v1 - v0) * double(t - k[i - 1].first) / double(k[i].first - k[i - 1].first);
      }
    return k.back().second;
  }

  // Lines: "blade PIXELS PER_METRE", "clock FRAMES NUM DEN" (frame k is at k * NUM div DEN microseconds),
  // "event KIND START END PLACE STRENGTH", "sensor WHICH TIME VALUE".
  bool read(const char* path) {
    FILE* in = fopen(path, "r");
    if (!in) return false;
    char word[32];
    bool good = true;
    while (good && fscanf(in, "%31s", word) == 1) {
      long a, b, c;
      int kind;
      double p, q;
      if (!strcmp(word, "blade")) {
        good = fscanf(in, "%d %lf", &pixels_, &per_metre_) == 2;
      } else if (!strcmp(word, "clock")) {
        good = fscanf(in, "%ld %ld %ld", &a, &b, &c) == 3;
        if (good) { frames_ = a; step_num_ = b; step_den_ = c; }
      } else if (!strcmp(word, "event")) {
        good = fscanf(in, "%d %ld %ld %lf %lf", &kind, &a, &b, &p, &q) == 5 && kind >= 0 && kind < EVENTS;
        if (good) { Occurrence o = {a, b, p, q}; events_[kind].push_back(o); }
      } else if (!strcmp(word, "sensor")) {
        good = fscanf(in, "%d %ld %lf", &kind, &a, &p) == 3 && kind >= 0 && kind < SENSORS;
        if (good) sensors_[kind].push_back(std::make_pair(int64_t(a), p));
      } else {
        good = false;
      }
    }
    fclose(in);
    return good && pixels_ > 0 && frames_ > 0;
  }

 private:
  int pixels_;
  double per_metre_;
  int64_t step_num_, step_den_;
  long frames_;
  std::vector<Occurrence> events_[EVENTS];
  std::vector<std::pair<int64_t, double> > sensors_[SENSORS];
};

// Philox 4x64-10 (Salmon, Moraes, Dror, Shaw 2011), word 0.
inline uint64_t mul_high(uint64_t a, uint64_t b) {
  const uint64_t low = 0xFFFFFFFFu;
  const uint64_t al = a & low, ah = a >> 32, bl = b & low, bh = b >> 32;
  const uint64_t m = ah * bl + ((al * bl) >> 32);
  const uint64_t n = al * bh + (m & low);
  return ah * bh + (m >> 32) + (n >> 32);
}

inline uint64_t wide(uint32_t high, uint32_t low) { return (uint64_t(high) << 32) | low; }

inline uint64_t noise_word(uint64_t number, uint64_t step, uint64_t cell) {
  const uint64_t m0 = wide(0xD2E7470Eu, 0xE14C6C93u), m1 = wide(0xCA5A8263u, 0x95121157u);
  const uint64_t w0 = wide(0x9E3779B9u, 0x7F4A7C15u), w1 = wide(0xBB67AE85u, 0x84CAA73Bu);
  uint64_t c0 = step, c1 = cell, c2 = 0, c3 = 0, k0 = number, k1 = 0;
  for (int round = 0; round < 10; ++round) {
    const uint64_t h0 = mul_high(m0, c0), l0 = m0 * c0, h1 = mul_high(m1, c2), l1 = m1 * c2;
    c0 = h1 ^ c1 ^ k0;
    c1 = l1;
    c2 = h0 ^ c3 ^ k1;
    c3 = l0;
    k0 += w0;
    k1 += w1;
  }
  return c0;
}

inline double noise(uint64_t number, uint64_t step, uint64_t cell) {
  return double(noise_word(number, step, cell) >> 11) * (1.0 / 9007199254740992.0);
}

// Hands out the noise numbers of one style, from 0, in the order of construction.
class Numbering {
 public:
  Numbering() : next_(0) {}
  uint64_t take() { return next_++; }

 private:
  uint64_t next_;
};

}  // namespace stage

template <class STYLE>
class wick_performer;

namespace stage {

template <class STYLE>
bool perform(const Scene& scene, const char* path) {
  FILE* out = fopen(path, "wb");
  if (!out) return false;
  wick_performer<STYLE> performer(scene);
  std::vector<unsigned char> row(size_t(scene.pixels()) * 3);
  bool good = true;
  for (long f = 0; good && f < scene.frames(); ++f) {
    performer.draw(scene.time_of(f), &row[0]);
    good = fwrite(&row[0], 1, row.size(), out) == row.size();
  }
  return (fclose(out) == 0) && good;
}

}  // namespace stage
#endif
