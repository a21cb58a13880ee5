// paints.h: the paints of generation 3; each gives a row of 16-bit linear light.
#ifndef WICK3_PAINTS_H
#define WICK3_PAINTS_H
#include "signals.h"

namespace wick {

// A colour, sRGB-coded (IEC 61966-2-1).
template <int R = detail::NO, int G = detail::NO, int B = detail::NO, int... MORE>
class rgb : public detail::paint {
  WICK_NEED(B != detail::NO && sizeof...(MORE) == 0, "rgb<R, G, B> takes three arguments");
  WICK_NEED_RANGE(R, 0, 255, "rgb<R, G, B>: R");
  WICK_NEED_RANGE(G, 0, 255, "rgb<R, G, B>: G");
  WICK_NEED_RANGE(B, 0, 255, "rgb<R, G, B>: B");

 public:
  explicit rgb(detail::bench&) : light_{detail::decoded(R), detail::decoded(G), detail::decoded(B)} {}
  void row(const detail::bench& b, detail::light* out) { detail::fill(b, out, light_); }

 private:
  detail::light light_;
};

// A colour as the controller's duties, proportional to light.
template <int R = detail::NO, int G = detail::NO, int B = detail::NO, int... MORE>
class duty : public detail::paint {
  WICK_NEED(B != detail::NO && sizeof...(MORE) == 0, "duty<R, G, B> takes three arguments");
  WICK_NEED_RANGE(R, 0, 255, "duty<R, G, B>: R");
  WICK_NEED_RANGE(G, 0, 255, "duty<R, G, B>: G");
  WICK_NEED_RANGE(B, 0, 255, "duty<R, G, B>: B");

 public:
  explicit duty(detail::bench&) {}
  void row(const detail::bench& b, detail::light* out) {
    detail::fill(b, out, detail::light{static_cast<std::uint16_t>(257 * R), static_cast<std::uint16_t>(257 * G),
                                       static_cast<std::uint16_t>(257 * B)});
  }
};

namespace detail {
// A to B by a signal; the arguments are checked by what derives from it.
template <class A, class B, class W>
class mixture : public paint {
 public:
  explicit mixture(bench& b) : a_(b), b_(b), w_(b), over_(b.lights()), weight_(b.weights()) {}
  void row(const bench& b, light* out) {
    a_.row(b, out);
    b_.row(b, over_);
    w_.row(b, weight_);
    mix_row(b, out, over_, weight_);
  }

 private:
  A a_;
  B b_;
  W w_;
  light* over_;
  double* weight_;
};
}  // namespace detail

template <class A = detail::none, class B = detail::none, class W = detail::none, class... MORE>
class blend : public detail::mixture<A, B, W> {
  WICK_NEED((!std::is_same<W, detail::none>::value && sizeof...(MORE) == 0), "blend<A, B, W> takes three arguments");
  WICK_NEED_PAINT(A, "blend<A, B, W>: A");
  WICK_NEED_PAINT(B, "blend<A, B, W>: B");
  WICK_NEED_SIGNAL(W, "blend<A, B, W>: W");

 public:
  explicit blend(detail::bench& b) : detail::mixture<A, B, W>(b) {}
};

// Sine, A to B and back in MS.
template <class A = detail::none, class B = detail::none, int MS = detail::NO, int... MORE>
class sway : public detail::mixture<A, B, lfo<sine, MS == detail::NO ? 1 : MS>> {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "sway<A, B, MS> takes three arguments");
  WICK_NEED_PAINT(A, "sway<A, B, MS>: A");
  WICK_NEED_PAINT(B, "sway<A, B, MS>: B");
  WICK_NEED_RANGE(MS, 1, 65535, "sway<A, B, MS>: MS");

 public:
  explicit sway(detail::bench& b) : detail::mixture<A, B, lfo<sine, MS == detail::NO ? 1 : MS>>(b) {}
};

template <class P = detail::none, class W = detail::none, class... MORE>
class shade : public detail::paint {
  WICK_NEED((!std::is_same<W, detail::none>::value && sizeof...(MORE) == 0), "shade<P, W> takes two arguments");
  WICK_NEED_PAINT(P, "shade<P, W>: P");
  WICK_NEED_SIGNAL(W, "shade<P, W>: W");

 public:
  explicit shade(detail::bench& b) : p_(b), w_(b), weight_(b.weights()) {}
  void row(const detail::bench& b, detail::light* out) {
    p_.row(b, out);
    w_.row(b, weight_);
    detail::scale_row(b, out, weight_);
  }

 private:
  P p_;
  W w_;
  double* weight_;
};

namespace detail {

inline std::int64_t modulo(std::int64_t a, std::int64_t n) { return ((a % n) + n) % n; }

// `rows` holds n paints; per mille and per mille a second.
WICK_SHARED void bands_row(const bench& b, const light* rows, int n, double wide, double speed, light* out) {
  for (int i = 0; i < b.n; ++i) {
    const double c = std::floor((b.mil[i] - speed * b.s) / wide);
    out[i] = rows[modulo(static_cast<std::int64_t>(c), n) * b.n + i];
  }
}

WICK_SHARED void soft_bands_row(const bench& b, const light* rows, int n, double wide, double speed, light* out) {
  for (int i = 0; i < b.n; ++i) {
    const double y = (b.mil[i] - speed * b.s) / wide - 0.5, c = std::floor(y);
    const light& p = rows[modulo(static_cast<std::int64_t>(c), n) * b.n + i];
    const light& q = rows[modulo(static_cast<std::int64_t>(c) + 1, n) * b.n + i];
    const double w = y - c;
    out[i] = light{mix(p.r, q.r, w), mix(p.g, q.g, w), mix(p.b, q.b, w)};
  }
}

}  // namespace detail

template <int MIL = detail::NO, int MIL_S = detail::NO, class... P>
class bands : public detail::paint {
  WICK_NEED(MIL_S != detail::NO && sizeof...(P) > 0, "bands<MIL, MIL_S, A, ...> takes a width, a speed and paints");
  WICK_NEED_RANGE(MIL, 1, 65535, "bands<MIL, MIL_S, A, ...>: MIL");
  WICK_NEED_RANGE(MIL_S, -65535, 65535, "bands<MIL, MIL_S, A, ...>: MIL_S");
  WICK_NEED(detail::every({detail::is<detail::paint, P>::value...}),
            "bands<MIL, MIL_S, A, ...>: A, ... must be paints");

 public:
  explicit bands(detail::bench& b) : list_(b), rows_(b.lights(sizeof...(P))) {}
  void row(const detail::bench& b, detail::light* out) {
    list_.rows(b, rows_);
    detail::bands_row(b, rows_, static_cast<int>(sizeof...(P)), MIL, MIL_S, out);
  }

 private:
  detail::paint_list<P...> list_;
  detail::light* rows_;
};

template <int MIL = detail::NO, int MIL_S = detail::NO, class... P>
class soft_bands : public detail::paint {
  WICK_NEED(MIL_S != detail::NO && sizeof...(P) > 0,
            "soft_bands<MIL, MIL_S, A, ...> takes a width, a speed and paints");
  WICK_NEED_RANGE(MIL, 1, 65535, "soft_bands<MIL, MIL_S, A, ...>: MIL");
  WICK_NEED_RANGE(MIL_S, -65535, 65535, "soft_bands<MIL, MIL_S, A, ...>: MIL_S");
  WICK_NEED(detail::every({detail::is<detail::paint, P>::value...}),
            "soft_bands<MIL, MIL_S, A, ...>: A, ... must be paints");

 public:
  explicit soft_bands(detail::bench& b) : list_(b), rows_(b.lights(sizeof...(P))) {}
  void row(const detail::bench& b, detail::light* out) {
    list_.rows(b, rows_);
    detail::soft_bands_row(b, rows_, static_cast<int>(sizeof...(P)), MIL, MIL_S, out);
  }

 private:
  detail::paint_list<P...> list_;
  detail::light* rows_;
};

// A paint's position in a ramp; not a paint itself.
template <int MIL = detail::NO, class C = detail::none, class... MORE>
struct stop : detail::stop_mark {
  WICK_NEED((!std::is_same<C, detail::none>::value && sizeof...(MORE) == 0), "stop<MIL, C> takes two arguments");
  WICK_NEED_RANGE(MIL, 0, 1000, "stop<MIL, C>: MIL");
  WICK_NEED_PAINT(C, "stop<MIL, C>: C");
};

namespace detail {

// What stands at one place of a ramp: its paint, and its position in per mille, or none of its own.
template <class P>
struct stop_of {
  typedef P type;
  enum { placed = 0, mil = 0 };
};
template <int MIL, class C>
struct stop_of<stop<MIL, C>> {
  typedef C type;
  enum { placed = 1, mil = MIL };
};

constexpr bool rising(std::initializer_list<int> list) {
  int before = 0;
  for (int one : list) {
    if (one < before) return false;
    before = one;
  }
  return true;
}

inline light between(const bench& b, const light* rows, int j, int i, double w) {
  const light& p = rows[j * b.n + i];
  const light& q = rows[(j + 1) * b.n + i];
  return light{mix(p.r, q.r, w), mix(p.g, q.g, w), mix(p.b, q.b, w)};
}

WICK_SHARED void even_ramp_row(const bench& b, const light* rows, int n, light* out) {
  for (int i = 0; i < b.n; ++i) {
    if (n == 1) {
      out[i] = rows[i];
    } else {
      const double p = b.x[i] * (n - 1);
      const int j = std::min(static_cast<int>(p), n - 2);
      out[i] = between(b, rows, j, i, p - j);
    }
  }
}

WICK_SHARED void placed_ramp_row(const bench& b, const light* rows, int n, const int* mil, light* out) {
  for (int i = 0; i < b.n; ++i) {
    int j = -1;
    while (j + 1 < n && mil[j + 1] / 1000.0 <= b.x[i]) ++j;
    if (j < 0 || j == n - 1) {
      out[i] = rows[(j < 0 ? 0 : j) * b.n + i];
    } else {
      const double from = mil[j] / 1000.0, to = mil[j + 1] / 1000.0;
      out[i] = between(b, rows, j, i, (b.x[i] - from) / (to - from));
    }
  }
}

}  // namespace detail

// Evenly spaced paints, hilt to tip; or all of them in stops.
template <class... P>
class ramp : public detail::paint {
  WICK_NEED(sizeof...(P) > 0, "ramp<A, ...> takes at least one argument");
  WICK_NEED(detail::every({(detail::is<detail::paint, P>::value || detail::is<detail::stop_mark, P>::value)...}),
            "ramp<A, ...>: A, ... must be paints, or stops");
  WICK_NEED((detail::every({detail::stop_of<P>::placed == 1 ...}) ||
             detail::every({detail::stop_of<P>::placed == 0 ...})),
            "ramp<A, ...>: either all are stops or none is");
  WICK_NEED(detail::rising({static_cast<int>(detail::stop_of<P>::mil)...}),
            "ramp<stop<MIL, C>, ...>: stops must not fall");

 public:
  explicit ramp(detail::bench& b) : list_(b), rows_(b.lights(sizeof...(P))) {}
  void row(const detail::bench& b, detail::light* out) {
    static const int mil[] = {static_cast<int>(detail::stop_of<P>::mil)...};
    const int n = static_cast<int>(sizeof...(P));
    list_.rows(b, rows_);
    if (detail::every({detail::stop_of<P>::placed == 1 ...}))
      detail::placed_ramp_row(b, rows_, n, mil, out);
    else
      detail::even_ramp_row(b, rows_, n, out);
  }

 private:
  detail::paint_list<typename detail::stop_of<P>::type...> list_;
  detail::light* rows_;
};

namespace detail {
// Value noise that rises along the blade, squared.
WICK_SHARED void hearth_row(const bench& b, std::uint64_t number, double grain, double speed, double* w) {
  std::int64_t last = std::numeric_limits<std::int64_t>::min();
  double r0 = 0.0, r1 = 0.0;
  for (int i = 0; i < b.n; ++i) {
    const double y = (b.mil[i] - speed * b.s) / grain, floored = std::floor(y);
    const std::int64_t c = static_cast<std::int64_t>(floored);
    if (c != last) {
      r0 = stage::noise(number, 0, static_cast<std::uint64_t>(c));
      r1 = stage::noise(number, 0, static_cast<std::uint64_t>(c + 1));
      last = c;
    }
    const double v = r0 + (r1 - r0) * (y - floored);
    w[i] = v * v;
  }
}
}  // namespace detail

// Slow fire.
template <class A = detail::none, class B = detail::none, int MIL = 45, int MIL_S = 90, int... MORE>
class hearth : public detail::paint {
  WICK_NEED((!std::is_same<B, detail::none>::value && sizeof...(MORE) == 0),
            "hearth<A, B, MIL, MIL_S> takes two to four arguments");
  WICK_NEED_PAINT(A, "hearth<A, B, MIL, MIL_S>: A");
  WICK_NEED_PAINT(B, "hearth<A, B, MIL, MIL_S>: B");
  WICK_NEED_RANGE(MIL, 1, 65535, "hearth<A, B, MIL, MIL_S>: MIL");
  WICK_NEED_RANGE(MIL_S, -65535, 65535, "hearth<A, B, MIL, MIL_S>: MIL_S");

 public:
  explicit hearth(detail::bench& b) : a_(b), b_(b), number_(b.number()), over_(b.lights()), weight_(b.weights()) {}
  void row(const detail::bench& b, detail::light* out) {
    a_.row(b, out);
    b_.row(b, over_);
    detail::hearth_row(b, number_, MIL, MIL_S, weight_);
    detail::mix_row(b, out, over_, weight_);
  }

 private:
  A a_;
  B b_;
  std::uint64_t number_;
  detail::light* over_;
  double* weight_;
};

}  // namespace wick
#endif
