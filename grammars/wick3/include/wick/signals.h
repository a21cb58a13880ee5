// signals.h: the signals of generation 3; each gives a row of weights 0 to 1.
#ifndef WICK3_SIGNALS_H
#define WICK3_SIGNALS_H
#include "curves.h"
#include "events.h"

namespace wick {

struct sine : detail::wave {
  static double at(double phi) { return (1 - std::cos(2 * detail::pi * phi)) / 2; }
};
struct triangle : detail::wave {
  static double at(double phi) { return 1 - std::fabs(1 - 2 * phi); }
};
struct saw : detail::wave {
  static double at(double phi) { return phi; }
};
struct square : detail::wave {
  static double at(double phi) { return phi < 0.5 ? 0.0 : 1.0; }
};

namespace detail {

// How far into its period an oscillator is: 0 to below 1; phase in turns.
inline double turn(std::int64_t t, std::int64_t period, double phase) {
  const double f = share(t % period, period) + phase;
  return f - std::floor(f);
}

}  // namespace detail

template <int MIL = detail::NO, int... MORE>
class k : public detail::signal {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "k<MIL> takes one argument");
  WICK_NEED_RANGE(MIL, 0, 1000, "k<MIL>: MIL");

 public:
  explicit k(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::fill(b, w, MIL / 1000.0); }
};

template <class WAVE = detail::none, int MS = detail::NO, int PHASE = 0, int... MORE>
class lfo : public detail::signal {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "lfo<WAVE, MS, PHASE> takes two or three arguments");
  WICK_NEED_SORT(wave, WAVE, "lfo<WAVE, MS, PHASE>: WAVE", "sine, triangle, saw or square");
  WICK_NEED_RANGE(MS, 1, 65535, "lfo<WAVE, MS, PHASE>: MS");
  WICK_NEED_RANGE(PHASE, 0, 1000, "lfo<WAVE, MS, PHASE>: PHASE");

 public:
  explicit lfo(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    detail::fill(b, w, WAVE::at(detail::turn(b.t, detail::micros(MS), PHASE / 1000.0)));
  }
};

namespace detail {
template <int HZ, int GRAIN, bool SOFT>
class noise_signal : public signal {
  WICK_NEED_RANGE(HZ, 1, 1000, "held_noise, soft_noise<HZ, GRAIN>: HZ");
  WICK_NEED_RANGE(GRAIN, 0, 1000, "held_noise, soft_noise<HZ, GRAIN>: GRAIN");

 public:
  explicit noise_signal(bench& b) : number_(b.number()) {}
  void row(const bench& b, double* w) { noise_row(b, number_, HZ, GRAIN, SOFT, w); }

 private:
  std::uint64_t number_;
};
}  // namespace detail

// Sample-and-hold.
template <int HZ = detail::NO, int GRAIN = detail::NO, int... MORE>
class held_noise : public detail::noise_signal<HZ, GRAIN, false> {
  WICK_NEED(GRAIN != detail::NO && sizeof...(MORE) == 0, "held_noise<HZ, GRAIN> takes two arguments");

 public:
  explicit held_noise(detail::bench& b) : detail::noise_signal<HZ, GRAIN, false>(b) {}
};

// Interpolated in time.
template <int HZ = detail::NO, int GRAIN = detail::NO, int... MORE>
class soft_noise : public detail::noise_signal<HZ, GRAIN, true> {
  WICK_NEED(GRAIN != detail::NO && sizeof...(MORE) == 0, "soft_noise<HZ, GRAIN> takes two arguments");

 public:
  explicit soft_noise(detail::bench& b) : detail::noise_signal<HZ, GRAIN, true>(b) {}
};

template <int LAG_MS = 0, int... MORE>
class sound : public detail::signal {
  WICK_NEED(sizeof...(MORE) == 0, "sound<LAG_MS> takes at most one argument");
  WICK_NEED_RANGE(LAG_MS, 0, 65535, "sound<LAG_MS>: LAG_MS");

 public:
  explicit sound(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    const std::int64_t at = std::max<std::int64_t>(0, b.t - detail::micros(LAG_MS));
    detail::fill(b, w, b.scene.sensor(stage::SOUND, at));
  }
};

template <int DPS = 450, int... MORE>
class swing : public detail::signal {
  WICK_NEED(sizeof...(MORE) == 0, "swing<DPS> takes at most one argument");
  WICK_NEED_RANGE(DPS, 1, 65535, "swing<DPS>: DPS");

 public:
  explicit swing(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    detail::fill(b, w, std::fabs(b.scene.sensor(stage::SWING, b.t)) / DPS);
  }
};

template <class... MORE>
class tilt : public detail::signal {
  WICK_NEED(sizeof...(MORE) == 0, "tilt<> takes no argument");

 public:
  explicit tilt(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::fill(b, w, (b.scene.sensor(stage::TILT, b.t) + 90) / 180); }
};

template <class... MORE>
class twist : public detail::signal {
  WICK_NEED(sizeof...(MORE) == 0, "twist<> takes no argument");

 public:
  explicit twist(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::fill(b, w, (b.scene.sensor(stage::TWIST, b.t) + 180) / 360); }
};

template <class W = detail::none, int MIL = detail::NO, int... MORE>
class near : public detail::signal {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "near<W, MIL> takes two arguments");
  WICK_NEED_SIGNAL(W, "near<W, MIL>: W");
  WICK_NEED_RANGE(MIL, 0, 65535, "near<W, MIL>: MIL");

 public:
  explicit near(detail::bench& b) : centre_(b) {}
  void row(const detail::bench& b, double* w) {
    centre_.row(b, w);
    detail::near_row(b, b.mil, 1000, MIL, w);
  }

 private:
  W centre_;
};

template <int MIL = detail::NO, int... MORE>
class hilt : public detail::signal {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "hilt<MIL> takes one argument");
  WICK_NEED_RANGE(MIL, 0, 65535, "hilt<MIL>: MIL");

 public:
  explicit hilt(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::hilt_row(b, b.mil, MIL, w); }
};

template <int MIL = detail::NO, int... MORE>
class tip : public detail::signal {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "tip<MIL> takes one argument");
  WICK_NEED_RANGE(MIL, 0, 65535, "tip<MIL>: MIL");

 public:
  explicit tip(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::tip_row(b, b.mil, 1000, MIL, w); }
};

template <class... MORE>
class along : public detail::signal {
  WICK_NEED(sizeof...(MORE) == 0, "along<> takes no argument");

 public:
  explicit along(detail::bench&) {}
  void row(const detail::bench& b, double* w) { std::copy(b.x, b.x + b.n, w); }
};

template <class EVENT = detail::none, class SHAPE = detail::none, class... MORE>
class upon : public detail::signal {
  WICK_NEED((!std::is_same<SHAPE, detail::none>::value && sizeof...(MORE) == 0),
            "upon<EVENT, SHAPE> takes two arguments");
  WICK_NEED_EVENT(EVENT, "upon<EVENT, SHAPE>: EVENT");
  WICK_NEED_SHAPE(EVENT, SHAPE, "upon<EVENT, SHAPE>");

 public:
  explicit upon(detail::bench&) {}
  void row(const detail::bench& b, double* w) { detail::fill(b, w, detail::envelope<EVENT, SHAPE>(b)); }
};

template <class EVENT = detail::none, class... MORE>
class place : public detail::signal {
  WICK_NEED((!std::is_same<EVENT, detail::none>::value && sizeof...(MORE) == 0), "place<EVENT> takes one argument");
  WICK_NEED_EVENT(EVENT, "place<EVENT>: EVENT");

 public:
  explicit place(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    const stage::Occurrence* o = detail::latest(b, EVENT::kind);
    detail::fill(b, w, o ? o->place : 0.0);
  }
};

template <class EVENT = detail::none, class... MORE>
class strength : public detail::signal {
  WICK_NEED((!std::is_same<EVENT, detail::none>::value && sizeof...(MORE) == 0), "strength<EVENT> takes one argument");
  WICK_NEED_EVENT(EVENT, "strength<EVENT>: EVENT");

 public:
  explicit strength(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    const stage::Occurrence* o = detail::latest(b, EVENT::kind);
    detail::fill(b, w, !o ? 0.0 : EVENT::lasts ? 1.0 : o->strength);
  }
};

template <class EVENT = detail::none, int MS = detail::NO, int... MORE>
class since : public detail::signal {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "since<EVENT, MS> takes two arguments");
  WICK_NEED_EVENT(EVENT, "since<EVENT, MS>: EVENT");
  WICK_NEED_RANGE(MS, 0, 65535, "since<EVENT, MS>: MS");

 public:
  explicit since(detail::bench&) {}
  void row(const detail::bench& b, double* w) {
    const stage::Occurrence* o = detail::latest(b, EVENT::kind);
    const std::int64_t full = MS > 0 ? detail::micros(MS) : 1;
    detail::fill(b, w, !o || MS == 0 ? 1.0 : detail::share(b.t - o->start, full));
  }
};

namespace detail {

struct times {
  static double of(double a, double b) { return a * b; }
};
struct larger {
  static double of(double a, double b) { return a < b ? b : a; }
};
struct smaller {
  static double of(double a, double b) { return b < a ? b : a; }
};

// Joins the rows of its signals, left to right.
template <class JOIN, class... W>
class joined;
template <class JOIN>
class joined<JOIN> {
 public:
  explicit joined(bench&) {}
  void join(const bench&, double*, double*) {}
};
template <class JOIN, class HEAD, class... TAIL>
class joined<JOIN, HEAD, TAIL...> {
 public:
  explicit joined(bench& b) : head_(b), tail_(b) {}
  void start(const bench& b, double* w, double* scratch) {
    head_.row(b, w);
    tail_.join(b, w, scratch);
  }
  void join(const bench& b, double* w, double* scratch) {
    head_.row(b, scratch);
    for (int i = 0; i < b.n; ++i) w[i] = JOIN::of(w[i], scratch[i]);
    tail_.join(b, w, scratch);
  }

 private:
  HEAD head_;
  joined<JOIN, TAIL...> tail_;
};

template <class JOIN, class... W>
class joined_signal : public signal {
 public:
  explicit joined_signal(bench& b) : list_(b), scratch_(b.weights()) {}
  void row(const bench& b, double* w) { list_.start(b, w, scratch_); }

 private:
  joined<JOIN, W...> list_;
  double* scratch_;
};

}  // namespace detail

template <class... W>
class product : public detail::joined_signal<detail::times, W...> {
  WICK_NEED(sizeof...(W) > 0, "product<W, ...> takes at least one argument");
  WICK_NEED(detail::every({detail::is<detail::signal, W>::value...}), "product<W, ...>: every W must be a signal");

 public:
  explicit product(detail::bench& b) : detail::joined_signal<detail::times, W...>(b) {}
};

template <class... W>
class most : public detail::joined_signal<detail::larger, W...> {
  WICK_NEED(sizeof...(W) > 0, "most<W, ...> takes at least one argument");
  WICK_NEED(detail::every({detail::is<detail::signal, W>::value...}), "most<W, ...>: every W must be a signal");

 public:
  explicit most(detail::bench& b) : detail::joined_signal<detail::larger, W...>(b) {}
};

template <class... W>
class least : public detail::joined_signal<detail::smaller, W...> {
  WICK_NEED(sizeof...(W) > 0, "least<W, ...> takes at least one argument");
  WICK_NEED(detail::every({detail::is<detail::signal, W>::value...}), "least<W, ...>: every W must be a signal");

 public:
  explicit least(detail::bench& b) : detail::joined_signal<detail::smaller, W...>(b) {}
};

template <class W = detail::none, class... MORE>
class inverse : public detail::signal {
  WICK_NEED((!std::is_same<W, detail::none>::value && sizeof...(MORE) == 0), "inverse<W> takes one argument");
  WICK_NEED_SIGNAL(W, "inverse<W>: W");

 public:
  explicit inverse(detail::bench& b) : w_(b) {}
  void row(const detail::bench& b, double* w) {
    w_.row(b, w);
    for (int i = 0; i < b.n; ++i) w[i] = 1 - w[i];
  }

 private:
  W w_;
};

// Full where W is at least MIL, else 0.
template <class W = detail::none, int MIL = detail::NO, int... MORE>
class past : public detail::signal {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "past<W, MIL> takes two arguments");
  WICK_NEED_SIGNAL(W, "past<W, MIL>: W");
  WICK_NEED_RANGE(MIL, 0, 1000, "past<W, MIL>: MIL");

 public:
  explicit past(detail::bench& b) : w_(b) {}
  void row(const detail::bench& b, double* w) {
    w_.row(b, w);
    for (int i = 0; i < b.n; ++i) w[i] = w[i] >= MIL / 1000.0 ? 1.0 : 0.0;
  }

 private:
  W w_;
};

template <class W = detail::none, class CURVE = detail::none, class... MORE>
class ease : public detail::signal {
  WICK_NEED((!std::is_same<CURVE, detail::none>::value && sizeof...(MORE) == 0), "ease<W, CURVE> takes two arguments");
  WICK_NEED_SIGNAL(W, "ease<W, CURVE>: W");
  WICK_NEED_SORT(easing, CURVE, "ease<W, CURVE>: CURVE", "an easing, curve::ease and its like");

 public:
  explicit ease(detail::bench& b) : w_(b) {}
  void row(const detail::bench& b, double* w) {
    w_.row(b, w);
    double last = -1.0, v = 0.0;
    for (int i = 0; i < b.n; ++i) {
      if (w[i] != last) {
        last = w[i];
        v = detail::clamp(CURVE::at(last));
      }
      w[i] = v;
    }
  }

 private:
  W w_;
};

namespace detail {
// Moves the state y toward w by at most dt/up upward and dt/down downward; 0 is no limit.
WICK_SHARED void slew_row(const bench& b, std::int64_t up, std::int64_t down, double* y, double* w) {
  const double rise = up == 0 ? 1.0 : share(b.dt, up), fall = down == 0 ? 1.0 : share(b.dt, down);
  for (int i = 0; i < b.n; ++i) {
    if (b.first || (w[i] >= y[i] ? up == 0 : down == 0))
      y[i] = w[i];
    else
      y[i] += std::max(-fall, std::min(rise, w[i] - y[i]));
    w[i] = clamp(y[i]);
  }
}
}  // namespace detail

template <class W = detail::none, int UP_MS = detail::NO, int DOWN_MS = detail::NO, int... MORE>
class slew : public detail::signal {
  WICK_NEED(DOWN_MS != detail::NO && sizeof...(MORE) == 0, "slew<W, UP_MS, DOWN_MS> takes three arguments");
  WICK_NEED_SIGNAL(W, "slew<W, UP_MS, DOWN_MS>: W");
  WICK_NEED_RANGE(UP_MS, 0, 65535, "slew<W, UP_MS, DOWN_MS>: UP_MS");
  WICK_NEED_RANGE(DOWN_MS, 0, 65535, "slew<W, UP_MS, DOWN_MS>: DOWN_MS");

 public:
  explicit slew(detail::bench& b) : w_(b), y_(b.weights()) {}
  void row(const detail::bench& b, double* w) {
    w_.row(b, w);
    detail::slew_row(b, detail::micros(UP_MS), detail::micros(DOWN_MS), y_, w);
  }

 private:
  W w_;
  double* y_;
};

}  // namespace wick
#endif
