// bench.h: what every construct of generation 3 stands on: the sorts of argument, their checks,
// the blade at one instant, and the row operations in 16-bit linear light. C++14.
#ifndef WICK3_BENCH_H
#define WICK3_BENCH_H
#include "../../../stage/stage.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <deque>
#include <initializer_list>
#include <limits>
#include <type_traits>
#include <vector>

// What no construct changes is compiled once, and called: a file may hold hundreds of styles.
#if defined(__GNUC__)
#define WICK_NOT_COPIED __attribute__((noinline))
#else
#define WICK_NOT_COPIED
#endif
#define WICK_SHARED WICK_NOT_COPIED inline

namespace wick {

constexpr int each = 0;      // a noise grain: every pixel for itself
constexpr int whole = 1000;  // a noise grain: the whole blade

namespace detail {

// ---- sorts of argument -----------------------------------------------------------------------------

struct paint {};
struct sleeve {};
struct style {};
struct sheet {};
struct power_sheet : sheet {};
struct signal {};
struct shape {};
struct event {};
struct wave {};
struct easing {};
struct transition {};
struct stop_mark {};

// Stands for an argument that was not written.
struct none {};
constexpr int NO = std::numeric_limits<int>::min();

template <class SORT, class T>
using is = std::is_base_of<SORT, T>;

}  // namespace detail
}  // namespace wick

#define WICK_NEED(CONDITION, TEXT) static_assert(CONDITION, "wick: " TEXT)
#define WICK_NEED_SORT(SORT, T, WHERE, WHAT)                                                             \
  WICK_NEED((std::is_same<::wick::detail::none, T>::value || ::wick::detail::is<::wick::detail::SORT, T>::value), \
            WHERE " must be " WHAT)
#define WICK_NEED_PAINT(T, WHERE)                                                                        \
  WICK_NEED((!::wick::detail::is<::wick::detail::style, T>::value), WHERE ": a style is not a paint");   \
  WICK_NEED((!::wick::detail::is<::wick::detail::sleeve, T>::value), WHERE ": a sleeve is not a paint"); \
  WICK_NEED((std::is_same<::wick::detail::none, T>::value || ::wick::detail::is<::wick::detail::paint, T>::value ||  \
             ::wick::detail::is<::wick::detail::style, T>::value ||                                           \
             ::wick::detail::is<::wick::detail::sleeve, T>::value),                                           \
            WHERE " must be a paint")
#define WICK_NEED_SIGNAL(T, WHERE) WICK_NEED_SORT(signal, T, WHERE, "a signal")
#define WICK_NEED_EVENT(T, WHERE) WICK_NEED_SORT(event, T, WHERE, "an event, ev::clash and its like")
#define WICK_NEED_RANGE(V, LOW, HIGH, WHERE) \
  WICK_NEED((V) == ::wick::detail::NO || ((V) >= (LOW) && (V) <= (HIGH)), WHERE " must be " #LOW " to " #HIGH)

namespace wick {
namespace detail {

// ---- the blade at one instant ----------------------------------------------------------------------

// Linear light, 0 to 65535 a channel.
struct light {
  std::uint16_t r, g, b;
};

// The edge that power moves at this instant: of a wipe, or the two of an iris.
struct moving_edge {
  enum kind_type { NONE, WIPE, IRIS } kind;
  double q, soft, position;  // soft and position as shares of the blade
  static moving_edge none() { return moving_edge{NONE, 0.0, 0.0, 0.0}; }
};

class bench {
 public:
  WICK_NOT_COPIED explicit bench(const stage::Scene& on)
      : scene(on), n(on.pixels()), t(0), dt(0), s(0.0), first(true), edge(moving_edge::none()), started_(false) {
    double* x_row = weights();
    double* mil_row = weights();
    double* px_row = weights();
    for (int i = 0; i < n; ++i) {
      px_row[i] = i + 0.5;
      x_row[i] = (i + 0.5) / n;
      mil_row[i] = (i + 0.5) * 1000 / n;
    }
    x = x_row;
    mil = mil_row;
    px = px_row;
  }
  WICK_NOT_COPIED ~bench() {}
  bench(const bench&) = delete;
  bench& operator=(const bench&) = delete;

  const stage::Scene& scene;
  const int n;
  const double *x, *mil, *px;  // a pixel's centre: share of the blade, per mille, pixels
  std::int64_t t, dt;          // microseconds: since the scene began, since the frame before
  double s;                    // seconds
  bool first;                  // no frame before this one
  moving_edge edge;

  void tick(std::int64_t now) {
    first = !started_;
    dt = first ? 0 : now - t;
    t = now;
    s = static_cast<double>(now) / 1e6;
    started_ = true;
    edge = moving_edge::none();
  }

  std::uint64_t number() { return numbering_.take(); }
  WICK_NOT_COPIED light* lights(std::size_t rows = 1) {
    lights_.emplace_back(rows * static_cast<std::size_t>(n), light{0, 0, 0});
    return lights_.back().data();
  }
  WICK_NOT_COPIED double* weights(std::size_t rows = 1) {
    weights_.emplace_back(rows * static_cast<std::size_t>(n), 0.0);
    return weights_.back().data();
  }

 private:
  bool started_;
  stage::Numbering numbering_;
  std::deque<std::vector<light>> lights_;
  std::deque<std::vector<double>> weights_;
};

// ---- numbers ---------------------------------------------------------------------------------------

constexpr double pi = 3.14159265358979323846;

inline double clamp(double v) { return v < 0.0 ? 0.0 : v > 1.0 ? 1.0 : v; }

constexpr std::int64_t micros(int ms) { return static_cast<std::int64_t>(ms) * 1000; }

// Rounded half up; v is never negative, so the cast is a floor.
inline std::uint16_t rounded(double v) { return static_cast<std::uint16_t>(static_cast<int>(v + 0.5)); }

inline std::uint16_t mix(std::uint16_t a, std::uint16_t b, double w) { return rounded(a * (1 - w) + b * w); }

// IEC 61966-2-1, decoded and rounded to 16 bits.
WICK_SHARED std::uint16_t decoded(int code) {
  const double c = code / 255.0;
  return rounded(65535 * (c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4)));
}

// ---- rows ------------------------------------------------------------------------------------------

WICK_SHARED void fill(const bench& b, double* out, double v) { std::fill(out, out + b.n, clamp(v)); }
WICK_SHARED void fill(const bench& b, light* out, light v) { std::fill(out, out + b.n, v); }

// out goes to `over` by w: source-over of an opaque paint.
WICK_SHARED void mix_row(const bench& b, light* out, const light* over, const double* w) {
  for (int i = 0; i < b.n; ++i) {
    const double k = w[i];
    out[i].r = mix(out[i].r, over[i].r, k);
    out[i].g = mix(out[i].g, over[i].g, k);
    out[i].b = mix(out[i].b, over[i].b, k);
  }
}

// W3C plus-lighter.
inline std::uint16_t added(std::uint16_t below, std::uint16_t p, double w) {
  return static_cast<std::uint16_t>(std::min(65535, static_cast<int>(below + w * p + 0.5)));
}
WICK_SHARED void add_row(const bench& b, light* out, const light* over, const double* w) {
  for (int i = 0; i < b.n; ++i) {
    out[i].r = added(out[i].r, over[i].r, w[i]);
    out[i].g = added(out[i].g, over[i].g, w[i]);
    out[i].b = added(out[i].b, over[i].b, w[i]);
  }
}

WICK_SHARED void scale_row(const bench& b, light* out, const double* w) {
  for (int i = 0; i < b.n; ++i) {
    out[i].r = rounded(out[i].r * w[i]);
    out[i].g = rounded(out[i].g * w[i]);
    out[i].b = rounded(out[i].b * w[i]);
  }
}

// A raised cosine `wide` across, round the share `w` of a blade `full` long; places u in the unit of both.
WICK_SHARED void near_row(const bench& b, const double* u, double full, double wide, double* w) {
  for (int i = 0; i < b.n; ++i) {
    const double d = std::fabs(u[i] - w[i] * full);
    w[i] = d < wide / 2 ? (1 + std::cos(2 * pi * d / wide)) / 2 : 0.0;
  }
}

WICK_SHARED void hilt_row(const bench& b, const double* u, double length, double* w) {
  for (int i = 0; i < b.n; ++i) w[i] = length > 0 ? std::max(0.0, 1 - u[i] / length) : 0.0;
}

WICK_SHARED void tip_row(const bench& b, const double* u, double full, double length, double* w) {
  for (int i = 0; i < b.n; ++i) w[i] = length > 0 ? std::max(0.0, 1 - (full - u[i]) / length) : 0.0;
}

// Noise in cells of `grain` (0: each pixel), held from step to step; with `soft`, linear between steps.
WICK_SHARED void noise_row(const bench& b, std::uint64_t number, int hz, int grain, bool soft, double* w) {
  const std::int64_t ticks = b.t * hz, step = ticks / 1000000;
  const double gone = static_cast<double>(ticks % 1000000) / 1e6;
  std::int64_t last = -1;
  double v = 0.0;
  for (int i = 0; i < b.n; ++i) {
    const std::int64_t cell =
        grain == each ? i : grain == whole ? 0 : static_cast<std::int64_t>(std::floor(b.mil[i] / grain));
    if (cell != last) {
      const std::uint64_t at = static_cast<std::uint64_t>(step), c = static_cast<std::uint64_t>(cell);
      v = stage::noise(number, at, c);
      if (soft) v = v + (stage::noise(number, at + 1, c) - v) * gone;
      last = cell;
    }
    w[i] = v;
  }
}

// ---- lists: constructed in the order of writing, which is the order of the noise numbers --------------

template <class... P>
class paint_list;
template <>
class paint_list<> {
 public:
  explicit paint_list(bench&) {}
  void rows(const bench&, light*) {}
};
template <class HEAD, class... TAIL>
class paint_list<HEAD, TAIL...> {
 public:
  explicit paint_list(bench& b) : head_(b), tail_(b) {}
  void rows(const bench& b, light* out) {
    head_.row(b, out);
    tail_.rows(b, out + b.n);
  }

 private:
  HEAD head_;
  paint_list<TAIL...> tail_;
};

// True where every argument is.
constexpr bool every(std::initializer_list<bool> list) {
  for (bool one : list)
    if (!one) return false;
  return true;
}

}  // namespace detail
}  // namespace wick
#endif
