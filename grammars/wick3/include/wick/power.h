// power.h: transitions, and the power that plays them on ignition and retraction, generation 3.
#ifndef WICK3_POWER_H
#define WICK3_POWER_H
#include "paints.h"

namespace wick {
namespace detail {

// ---- progress --------------------------------------------------------------------------------------

// Where a rise or a fall stands: q from 0, dark, to 1, lit.
struct progress {
  bool rising;
  double q;
};

// The ignitions and retractions that count, each with the q that it found.
class power_track {
 public:
  WICK_NOT_COPIED power_track(const bench& b, std::int64_t rise, std::int64_t fall) : rise_(rise), fall_(fall) {
    struct change {
      std::int64_t at;
      bool up;
    };
    std::vector<change> changes;
    for (const stage::Occurrence& o : b.scene.all(stage::IGNITE)) changes.push_back(change{o.start, true});
    for (const stage::Occurrence& o : b.scene.all(stage::RETRACT)) changes.push_back(change{o.start, false});
    std::stable_sort(changes.begin(), changes.end(), [](const change& a, const change& c) { return a.at < c.at; });
    for (const change& c : changes) {
      const progress before = at(c.at);
      if (c.up != before.rising) turns_.push_back(turn_type{c.at, before.q, c.up});
    }
  }

  WICK_NOT_COPIED ~power_track() {}

  WICK_NOT_COPIED progress at(std::int64_t t) const {
    const turn_type* last = nullptr;
    for (const turn_type& one : turns_)
      if (one.at <= t) last = &one;
    if (!last) return progress{false, 0.0};
    const std::int64_t all = last->rising ? rise_ : fall_;
    if (all == 0) return progress{last->rising, last->rising ? 1.0 : 0.0};
    const double part = share(t - last->at, all);
    return progress{last->rising, last->rising ? std::min(1.0, last->q + part) : std::max(0.0, last->q - part)};
  }

 private:
  struct turn_type {
    std::int64_t at;
    double q;
    bool rising;
  };
  std::int64_t rise_, fall_;
  std::vector<turn_type> turns_;
};

// ---- masks -----------------------------------------------------------------------------------------

WICK_SHARED void wipe_mask(const bench& b, double q, double soft, double* w) {
  for (int i = 0; i < b.n; ++i)
    w[i] = soft > 0 ? clamp((q * (1 + soft) - b.x[i]) / soft) : b.x[i] < q ? 1.0 : 0.0;
}

WICK_SHARED void iris_mask(const bench& b, double q, double position, double* w) {
  for (int i = 0; i < b.n; ++i)
    w[i] = std::fabs(b.x[i] - position) < q * std::max(position, 1 - position) ? 1.0 : 0.0;
}

// The band `wide` long on the lit side of the moving edge; u and full in its unit.
WICK_SHARED void edge_row(const bench& b, const double* u, double full, double wide, double* w) {
  const moving_edge& m = b.edge;
  std::fill(w, w + b.n, 0.0);
  if (m.kind == moving_edge::NONE || wide <= 0) return;
  for (int i = 0; i < b.n; ++i) {
    bool lit, in;
    if (m.kind == moving_edge::IRIS) {
      const double d = std::fabs(b.x[i] - m.position);
      lit = d < m.q * std::max(m.position, 1 - m.position);
      in = d * full >= m.q * std::max(m.position, 1 - m.position) * full - wide;
    } else if (m.soft > 0) {
      lit = b.x[i] < m.q * (1 + m.soft);
      in = u[i] >= m.q * (1 + m.soft) * full - wide;
    } else {
      lit = b.x[i] < m.q;
      in = u[i] >= m.q * full - wide;
    }
    w[i] = lit && in ? 1.0 : 0.0;
  }
}

// ---- transitions -----------------------------------------------------------------------------------
// Each says how long it is; `edge` where its edge is; `advance` evaluates its paints, every frame;
// `play` shows old and new at progress q: a rise lays new over old, a fall old over new, both by the mask.

WICK_SHARED void play_mask(const bench& b, bool rising, const light* old, const light* fresh, const double* w,
                           light* out) {
  const light* under = rising ? old : fresh;
  std::copy(under, under + b.n, out);
  mix_row(b, out, rising ? fresh : old, w);
}

// A transition that is a mask alone.
template <class SELF>
class masked : public transition {
 public:
  explicit masked(bench& b) : weight_(b.weights()) {}
  void advance(const bench&) {}
  void play(const bench& b, bool rising, double q, const light* old, const light* fresh, light* out) {
    SELF::mask(b, rising, q, weight_);
    play_mask(b, rising, old, fresh, weight_, out);
  }
  static moving_edge edge(bool, double) { return moving_edge::none(); }

 private:
  double* weight_;
};

inline bool moving(double q) { return q > 0.0 && q < 1.0; }

}  // namespace detail

template <class... MORE>
class cut : public detail::masked<cut<MORE...>> {
  WICK_NEED(sizeof...(MORE) == 0, "cut<> takes no argument");

 public:
  explicit cut(detail::bench& b) : detail::masked<cut<MORE...>>(b) {}
  static constexpr std::int64_t length() { return 0; }
  static void mask(const detail::bench& b, bool rising, double, double* w) { detail::fill(b, w, rising ? 1.0 : 0.0); }
};

template <int MS = detail::NO, int SOFT = 0, int... MORE>
class wipe : public detail::masked<wipe<MS, SOFT, MORE...>> {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "wipe<MS, SOFT> takes one or two arguments");
  WICK_NEED_RANGE(MS, 0, 65535, "wipe<MS, SOFT>: MS");
  WICK_NEED_RANGE(SOFT, 0, 65535, "wipe<MS, SOFT>: SOFT");

 public:
  explicit wipe(detail::bench& b) : detail::masked<wipe<MS, SOFT, MORE...>>(b) {}
  static constexpr std::int64_t length() { return detail::micros(MS); }
  static void mask(const detail::bench& b, bool, double q, double* w) { detail::wipe_mask(b, q, SOFT / 1000.0, w); }
  static detail::moving_edge edge(bool, double q) {
    return detail::moving(q) ? detail::moving_edge{detail::moving_edge::WIPE, q, SOFT / 1000.0, 0.0}
                             : detail::moving_edge::none();
  }
};

template <int MS = detail::NO, int... MORE>
class dissolve : public detail::masked<dissolve<MS, MORE...>> {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "dissolve<MS> takes one argument");
  WICK_NEED_RANGE(MS, 0, 65535, "dissolve<MS>: MS");

 public:
  explicit dissolve(detail::bench& b) : detail::masked<dissolve<MS, MORE...>>(b) {}
  static constexpr std::int64_t length() { return detail::micros(MS); }
  static void mask(const detail::bench& b, bool, double q, double* w) { detail::fill(b, w, q); }
};

// Two edges that open from POS.
template <int MS = detail::NO, int POS = detail::NO, int... MORE>
class iris : public detail::masked<iris<MS, POS, MORE...>> {
  WICK_NEED(POS != detail::NO && sizeof...(MORE) == 0, "iris<MS, POS> takes two arguments");
  WICK_NEED_RANGE(MS, 0, 65535, "iris<MS, POS>: MS");
  WICK_NEED_RANGE(POS, 0, 1000, "iris<MS, POS>: POS");

 public:
  explicit iris(detail::bench& b) : detail::masked<iris<MS, POS, MORE...>>(b) {}
  static constexpr std::int64_t length() { return detail::micros(MS); }
  static void mask(const detail::bench& b, bool, double q, double* w) { detail::iris_mask(b, q, POS / 1000.0, w); }
  static detail::moving_edge edge(bool, double q) {
    return detail::moving(q) ? detail::moving_edge{detail::moving_edge::IRIS, q, 0.0, POS / 1000.0}
                             : detail::moving_edge::none();
  }
};

// The old picture to the end, then the new one.
template <int MS = detail::NO, int... MORE>
class rest : public detail::masked<rest<MS, MORE...>> {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "rest<MS> takes one argument");
  WICK_NEED_RANGE(MS, 0, 65535, "rest<MS>: MS");

 public:
  explicit rest(detail::bench& b) : detail::masked<rest<MS, MORE...>>(b) {}
  static constexpr std::int64_t length() { return detail::micros(MS); }
  static void mask(const detail::bench& b, bool rising, double q, double* w) {
    detail::fill(b, w, (rising ? q >= 1.0 : q > 0.0) ? 1.0 : 0.0);
  }
};

namespace detail {

// The part of a step that is gone, `e` microseconds into a chain that reached the step at `start`.
inline double gone(double e, std::int64_t start, std::int64_t length) {
  return length == 0 ? 1.0 : clamp((e - static_cast<double>(start)) / static_cast<double>(length));
}

// The steps of a chain from the one that starts at START microseconds on.
template <std::int64_t START, class... REST>
class chain_steps;

template <std::int64_t START>
class chain_steps<START> {  // stands only where the number of arguments was refused
 public:
  explicit chain_steps(bench&) {}
  static constexpr std::int64_t end() { return START; }
};

template <std::int64_t START, class T>
class chain_steps<START, T> {
  WICK_NEED_SORT(transition, T, "chain<T, P, T, ...>: T", "a transition");

 public:
  explicit chain_steps(bench& b) : step_(b) {}
  static constexpr std::int64_t end() { return START + T::length(); }
  void advance(const bench& b) { step_.advance(b); }
  static moving_edge edge(bool rising, double e) {
    const double p = gone(e, START, T::length());
    return T::edge(rising, rising ? p : 1 - p);
  }
  void play(const bench& b, bool rising, double e, const light* old, const light* last, light* out) {
    const double p = gone(e, START, T::length());
    step_.play(b, rising, rising ? p : 1 - p, old, last, out);
  }

 private:
  T step_;
};

template <std::int64_t START, class T, class P, class... REST>
class chain_steps<START, T, P, REST...> {
  typedef chain_steps<START + T::length(), REST...> later;
  WICK_NEED_SORT(transition, T, "chain<T, P, T, ...>: T", "a transition");
  WICK_NEED_PAINT(P, "chain<T, P, T, ...>: P");

 public:
  explicit chain_steps(bench& b) : step_(b), paint_(b), shown_(b.lights()), later_(b) {}
  static constexpr std::int64_t end() { return later::end(); }
  void advance(const bench& b) {
    step_.advance(b);
    paint_.row(b, shown_);
    later_.advance(b);
  }
  static moving_edge edge(bool rising, double e) {
    if (!holds(e)) return later::edge(rising, e);
    const double p = gone(e, START, T::length());
    return T::edge(rising, rising ? p : 1 - p);
  }
  void play(const bench& b, bool rising, double e, const light* old, const light* last, light* out) {
    if (!holds(e)) return later_.play(b, rising, e, shown_, last, out);
    const double p = gone(e, START, T::length());
    step_.play(b, rising, rising ? p : 1 - p, old, shown_, out);
  }

 private:
  static bool holds(double e) { return e < static_cast<double>(START + T::length()); }
  T step_;
  P paint_;
  light* shown_;
  later later_;
};

}  // namespace detail

// Transitions one after the other, a paint shown between two of them.
template <class... STEPS>
class chain : public detail::transition {
  WICK_NEED(sizeof...(STEPS) >= 3 && sizeof...(STEPS) % 2 == 1,
            "chain<T, P, T, ...> takes transitions with a paint between two");
  typedef detail::chain_steps<0, STEPS...> steps;

 public:
  explicit chain(detail::bench& b) : steps_(b) {}
  static constexpr std::int64_t length() { return steps::end(); }
  void advance(const detail::bench& b) { steps_.advance(b); }
  static detail::moving_edge edge(bool rising, double q) { return steps::edge(rising, elapsed(rising, q)); }
  void play(const detail::bench& b, bool rising, double q, const detail::light* old, const detail::light* fresh,
            detail::light* out) {
    steps_.play(b, rising, elapsed(rising, q), old, fresh, out);
  }

 private:
  static double elapsed(bool rising, double q) { return (rising ? q : 1 - q) * static_cast<double>(length()); }
  steps steps_;
};

namespace detail {

// Ignition and retraction of a whole style.
template <class RISE, class FALL>
class power_play {
 public:
  explicit power_play(bench& b)
      : rise_(b),
        fall_(b),
        track_(b, RISE::length(), FALL::length()),
        now_{false, 0.0},
        dark_(b.lights()),
        lit_(b.lights()) {}

  // Before the sheets: where the edge is.
  void begin(bench& b) {
    now_ = track_.at(b.t);
    if (moving(now_.q)) b.edge = now_.rising ? RISE::edge(true, now_.q) : FALL::edge(false, now_.q);
  }

  // After them: cuts the row.
  void lay(const bench& b, light* row) {
    rise_.advance(b);
    fall_.advance(b);
    if (now_.q >= 1.0) return;
    std::copy(row, row + b.n, lit_);
    if (now_.q <= 0.0)
      std::copy(dark_, dark_ + b.n, row);
    else if (now_.rising)
      rise_.play(b, true, now_.q, dark_, lit_, row);
    else
      fall_.play(b, false, now_.q, lit_, dark_, row);
  }

 private:
  RISE rise_;
  FALL fall_;
  power_track track_;
  progress now_;
  light *dark_, *lit_;
};

}  // namespace detail
}  // namespace wick
#endif
