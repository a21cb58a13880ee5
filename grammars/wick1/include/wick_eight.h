// wick_eight.h: what the two eight-bit generations share: the frame, rows of duties, waves, space, events, power.
// C++98. A row holds 3 duties a pixel; every formula is written in the order of grammars/reference.md.
#ifndef WICK_EIGHT_H
#define WICK_EIGHT_H
#include <algorithm>

#include "../../stage/stage.h"

namespace wick_eight {

// One body for all the styles of a translation unit, which may be hundreds.
#if defined(__GNUC__)
#define WICK_SHARED __attribute__((noinline)) inline
#else
#define WICK_SHARED inline
#endif

const int64_t MILLISECOND = 1000, TICK = 20 * MILLISECOND;

// One instant: t in microseconds, s in seconds, n pixels, q the power's progress (1 where there is no power).
struct Frame {
  Frame(const stage::Scene& of, int64_t at, double lit)
      : scene(&of), t(at), s(double(at) / 1e6), n(of.pixels()), q(lit) {}
  Frame ticked() const { return Frame(*scene, t / TICK * TICK, q); }
  Frame powered(double lit) const { return Frame(*scene, t, lit); }

  const stage::Scene* scene;
  int64_t t;
  double s;
  int n;
  double q;
};

// What a style is built on: the scene, the numbers of its noises, and the rows that its constructs keep aside.
class Bench {
 public:
  explicit Bench(const stage::Scene& of) : scene(of) {}
  WICK_SHARED ~Bench() {
    for (size_t i = 0; i < rows_.size(); ++i) delete[] rows_[i];
  }
  uint64_t number() { return numbers_.take(); }
  // Room for `count` rows, kept as long as the bench.
  WICK_SHARED unsigned char* rows(size_t count) {
    rows_.push_back(0);
    rows_.back() = new unsigned char[count * 3 * size_t(scene.pixels())]();
    return rows_.back();
  }

  const stage::Scene& scene;

 private:
  Bench(const Bench&);
  Bench& operator=(const Bench&);

  stage::Numbering numbers_;
  std::vector<unsigned char*> rows_;
};

// Whether T is, or comes from, TAG; false for every type that is no class.
template <class TAG, class T>
struct is {
  static char probe(const TAG*);
  static char (&probe(...))[2];
  enum { yes = sizeof(probe(static_cast<T*>(0))) == 1 };
};

// ---- rows ----
inline void set_pixel(unsigned char* row, int i, int r, int g, int b) {
  row[3 * i] = static_cast<unsigned char>(r);
  row[3 * i + 1] = static_cast<unsigned char>(g);
  row[3 * i + 2] = static_cast<unsigned char>(b);
}
WICK_SHARED void fill(unsigned char* row, int n, int r, int g, int b) {
  for (int i = 0; i < n; ++i) set_pixel(row, i, r, g, b);
}
inline void copy_pixel(unsigned char* row, const unsigned char* from, int i) { memcpy(row + 3 * i, from + 3 * i, 3); }

// ---- numbers ----
inline int to_k(double f) { return int(floor(255.0 * f + 0.5)); }
inline double clamp01(double f) { return f < 0.0 ? 0.0 : f > 1.0 ? 1.0 : f; }

// ---- time: T is a period in microseconds, t is never negative ----
inline double phase(int64_t t, int64_t T) { return double(t % T) / double(T); }
WICK_SHARED double sine(int64_t t, int64_t T) { return (1.0 - cos(2.0 * 3.14159265358979323846 * phase(t, T))) / 2.0; }
WICK_SHARED double triangle(int64_t t, int64_t T) { return 1.0 - fabs(1.0 - 2.0 * phase(t, T)); }
inline bool square(int64_t t, int64_t T) { return phase(t, T) >= 0.5; }
inline uint64_t step_of(int64_t t, int64_t hz) { return uint64_t(t * hz / 1000000); }

// ---- place: u and lengths in pixels ----
inline double u_of(int i) { return i + 0.5; }
inline double x_of(int i, int n) { return (i + 0.5) / n; }
WICK_SHARED double near(double u, double centre, double width) {
  const double d = fabs(u - centre);
  return d < width / 2.0 ? (1.0 + cos(2.0 * 3.14159265358979323846 * d / width)) / 2.0 : 0.0;
}
inline double hilt(double u, double length) {
  const double f = length > 0.0 ? 1.0 - u / length : 0.0;
  return f > 0.0 ? f : 0.0;
}
inline double tip(double u, double blade, double length) {
  const double f = length > 0.0 ? 1.0 - (blade - u) / length : 0.0;
  return f > 0.0 ? f : 0.0;
}
inline bool tail(double u, double blade, double length) { return u >= blade - length; }
inline int64_t band(double u, double s, double width, double speed) { return int64_t(floor((u - speed * s) / width)); }
WICK_SHARED int band_of(double u, double s, double width, double speed, int count) {
  const int j = int(band(u, s, width, speed) % count);
  return j < 0 ? j + count : j;
}
WICK_SHARED double fire(uint64_t number, double u, double s, double grain, double speed) {
  const double y = (u - speed * s) / grain, c = floor(y);
  const double r0 = stage::noise(number, 0, uint64_t(int64_t(c)));
  const double r1 = stage::noise(number, 0, uint64_t(int64_t(c) + 1));
  const double n = r0 + (r1 - r0) * (y - c);
  return n * n;
}

// ---- sensors ----
WICK_SHARED double sound(const Frame& f) { return clamp01(f.scene->sensor(stage::SOUND, f.t)); }
WICK_SHARED double swing(const Frame& f, double full) {  // a full scale of 0 is always full
  const double v = fabs(f.scene->sensor(stage::SWING, f.t));
  return v >= full ? 1.0 : v / full;
}

// ---- events ----
WICK_SHARED const stage::Occurrence* latest(const Frame& f, stage::Event e) {
  const int which = f.scene->latest(e, f.t);
  return which < 0 ? 0 : &f.scene->all(e)[size_t(which)];
}
WICK_SHARED const stage::Occurrence* active(const Frame& f, stage::Event e) {
  const stage::Occurrence* o = latest(f, e);
  return o && f.t < o->end ? o : 0;
}
WICK_SHARED bool burst(const Frame& f, stage::Event e, int64_t duration) {
  const stage::Occurrence* o = latest(f, e);
  return o && f.t - o->start < duration;
}
// Full at the event, falling linearly to 0 in `decay`.
WICK_SHARED double fading(const Frame& f, const stage::Occurrence& o, int64_t decay) {
  const double left = decay > 0 ? 1.0 - double(f.t - o.start) / double(decay) : 0.0;
  return left > 0.0 ? left : 0.0;
}

// ---- power: how far the blade is lit ----
inline double level(bool up, double q0, int64_t dt, int64_t duration) {
  if (duration <= 0) return up ? 1.0 : 0.0;
  const double part = double(dt) / double(duration);
  return clamp01(up ? q0 + part : q0 - part);
}

// Ignitions and retractions in order of time (of equal times, ignitions first); one that begins while its like
// plays, or rests at its end, is ignored.
WICK_SHARED double progress(const Frame& f, int64_t rise, int64_t fall) {
  std::vector<std::pair<int64_t, bool> > moves;  // time; retraction
  for (int retract = 0; retract < 2; ++retract) {
    const std::vector<stage::Occurrence>& list = f.scene->all(retract ? stage::RETRACT : stage::IGNITE);
    for (size_t i = 0; i < list.size(); ++i)
      if (list[i].start <= f.t) moves.push_back(std::make_pair(list[i].start, retract == 1));
  }
  std::sort(moves.begin(), moves.end());
  bool up = false;
  double q0 = 0.0;
  int64_t t0 = 0;
  for (size_t i = 0; i < moves.size(); ++i) {
    if (moves[i].second != up) continue;
    q0 = level(up, q0, moves[i].first - t0, up ? rise : fall);
    t0 = moves[i].first;
    up = !up;
  }
  return level(up, q0, f.t - t0, up ? rise : fall);
}

// Darkens what the wipe has not reached.
WICK_SHARED void wipe(unsigned char* row, int n, double q) {
  for (int i = 0; i < n; ++i)
    if (!(x_of(i, n) < q)) set_pixel(row, i, 0, 0, 0);
}

}  // namespace wick_eight
#endif
