// events.h: events and the shapes of their envelopes, generation 3.
#ifndef WICK3_EVENTS_H
#define WICK3_EVENTS_H
#include "bench.h"

namespace wick {

namespace ev {
struct ignite : detail::event { enum { kind = stage::IGNITE, lasts = 0 }; };
struct retract : detail::event { enum { kind = stage::RETRACT, lasts = 0 }; };
struct clash : detail::event { enum { kind = stage::CLASH, lasts = 0 }; };
struct blast : detail::event { enum { kind = stage::BLAST, lasts = 0 }; };
struct lock : detail::event { enum { kind = stage::LOCK, lasts = 1 }; };
struct drag : detail::event { enum { kind = stage::DRAG, lasts = 1 }; };
struct melt : detail::event { enum { kind = stage::MELT, lasts = 1 }; };
}  // namespace ev

namespace detail {

// The latest occurrence of a kind at the bench's time, or null.
WICK_SHARED const stage::Occurrence* latest(const bench& b, int kind) {
  const stage::Event e = static_cast<stage::Event>(kind);
  const int j = b.scene.latest(e, b.t);
  return j < 0 ? nullptr : &b.scene.all(e)[static_cast<std::size_t>(j)];
}

inline double share(std::int64_t part, std::int64_t all) {
  return static_cast<double>(part) / static_cast<double>(all);
}

WICK_SHARED double hit_level(std::int64_t dt, std::int64_t attack, std::int64_t decay) {
  if (dt < attack) return share(dt, attack);
  return decay == 0 ? 0.0 : std::max(0.0, 1 - share(dt - attack, decay));
}

WICK_SHARED double held_level(std::int64_t t, const stage::Occurrence& o, std::int64_t attack, std::int64_t release) {
  const std::int64_t dt = std::min(t, o.end) - o.start;
  const double level = attack == 0 ? 1.0 : std::min(1.0, share(dt, attack));
  if (t < o.end) return level;
  return release == 0 ? 0.0 : level * std::max(0.0, 1 - share(t - o.end, release));
}

}  // namespace detail

// Full for MS, then gone.
template <int MS = detail::NO, int... MORE>
struct burst : detail::shape {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "burst<MS> takes one argument");
  WICK_NEED_RANGE(MS, 0, 65535, "burst<MS>: MS");
  enum { needs_held = 0 };
  static double level(std::int64_t t, const stage::Occurrence& o) {
    return t - o.start < detail::micros(MS) ? 1.0 : 0.0;
  }
};

// Linear up, linear down.
template <int ATTACK = detail::NO, int DECAY = detail::NO, int... MORE>
struct hit : detail::shape {
  WICK_NEED(DECAY != detail::NO && sizeof...(MORE) == 0, "hit<ATTACK, DECAY> takes two arguments");
  WICK_NEED_RANGE(ATTACK, 0, 65535, "hit<ATTACK, DECAY>: ATTACK");
  WICK_NEED_RANGE(DECAY, 0, 65535, "hit<ATTACK, DECAY>: DECAY");
  enum { needs_held = 0 };
  static double level(std::int64_t t, const stage::Occurrence& o) {
    return detail::hit_level(t - o.start, detail::micros(ATTACK), detail::micros(DECAY));
  }
};

// For held events: linear up, stays, and falls from the level reached at the end.
template <int ATTACK = detail::NO, int RELEASE = detail::NO, int... MORE>
struct held : detail::shape {
  WICK_NEED(RELEASE != detail::NO && sizeof...(MORE) == 0, "held<ATTACK, RELEASE> takes two arguments");
  WICK_NEED_RANGE(ATTACK, 0, 65535, "held<ATTACK, RELEASE>: ATTACK");
  WICK_NEED_RANGE(RELEASE, 0, 65535, "held<ATTACK, RELEASE>: RELEASE");
  enum { needs_held = 1 };
  static double level(std::int64_t t, const stage::Occurrence& o) {
    return detail::held_level(t, o, detail::micros(ATTACK), detail::micros(RELEASE));
  }
};

namespace detail {

// False only where a held shape meets an instant event; other mistakes have their own messages.
template <class EVENT, class SHAPE, bool = is<event, EVENT>::value && is<shape, SHAPE>::value>
struct fits : std::true_type {};
template <class EVENT, class SHAPE>
struct fits<EVENT, SHAPE, true> : std::integral_constant<bool, !SHAPE::needs_held || EVENT::lasts> {};

// The envelope of the latest EVENT, 0 before the first.
template <class EVENT, class SHAPE>
double envelope(const bench& b) {
  const stage::Occurrence* o = latest(b, EVENT::kind);
  return o ? clamp(SHAPE::level(b.t, *o)) : 0.0;
}

}  // namespace detail
}  // namespace wick

#define WICK_NEED_SHAPE(EVENT, SHAPE, WHERE)                                                  \
  WICK_NEED_SORT(shape, SHAPE, WHERE ": SHAPE", "a shape: burst, hit or held");               \
  WICK_NEED((::wick::detail::fits<EVENT, SHAPE>::value), WHERE ": held needs a held event, lock, drag or melt")
#endif
