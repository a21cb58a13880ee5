// signals.h: the signals of wick 4. How they are checked and named: tags.h.
#ifndef WICK_SIGNALS_H
#define WICK_SIGNALS_H
#include "events.h"

namespace wick {
namespace made {

template <class P>
struct k : detail::signal {
  static_assert(measures<P, Measure::pct>, "wick: k<...> takes pct<...>");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Constant(b, P::share)); }
};

template <class WAVE, class... TAGS>
struct lfo : detail::signal {
  static_assert(is<detail::wave, WAVE>, "wick: lfo<WAVE, ...> begins with sine, triangle, saw or square");
  WICK_TAGS("lfo", Tag::period, Tag::phase);
  WICK_NEEDS("lfo", period);
  static_assert(!detail::has<Tag::period, TAGS...> || us_of<Tag::period, TAGS...>() > 0,
                "wick: the period of lfo is above 0");
  static engine::Signal* make(Bench& b) {
    double phase = 0;
    if constexpr (detail::has<Tag::phase, TAGS...>) phase = detail::get<Tag::phase, TAGS...>::of::share;
    return b.own(new engine::Lfo(b, WAVE::shape, us_of<Tag::period, TAGS...>(), phase));
  }
};

template <class... TAGS>
struct noise : detail::signal {
  WICK_TAGS("noise", Tag::kind, Tag::rate, Tag::grain);
  WICK_NEEDS("noise", kind);
  WICK_NEEDS("noise", rate);
  WICK_NEEDS("noise", grain);
  static engine::Signal* make(Bench& b) {
    using cell = detail::get<Tag::grain, TAGS...>;
    return b.own(new engine::Noise(b, detail::get<Tag::kind, TAGS...>::value,
                                   detail::get<Tag::rate, TAGS...>::of::millihertz, cell::cells(), cell::length));
  }
};

// ---- sensors --------------------------------------------------------------------------------

template <class... TAGS>
struct sound : detail::signal {
  WICK_TAGS("sound", Tag::lag);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Sound(b, us_of<Tag::lag, TAGS...>())); }
};

template <class... TAGS>
struct swing : detail::signal {
  WICK_TAGS("swing", Tag::full);
  static engine::Signal* make(Bench& b) {
    double full = 450;
    if constexpr (detail::has<Tag::full, TAGS...>) full = detail::get<Tag::full, TAGS...>::of::value;
    return b.own(new engine::Swing(b, full));
  }
};

template <class... NONE>
struct tilt : detail::signal {
  static_assert(sizeof...(NONE) == 0, "wick: tilt<> takes nothing");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Angle(b, stage::TILT, 90)); }
};

template <class... NONE>
struct twist : detail::signal {
  static_assert(sizeof...(NONE) == 0, "wick: twist<> takes nothing");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Angle(b, stage::TWIST, 180)); }
};

// ---- places ---------------------------------------------------------------------------------

template <class W, class... TAGS>
struct near : detail::signal {
  static_assert(is<detail::signal, W>, "wick: near<W, ...> begins with a signal");
  WICK_TAGS("near", Tag::width);
  WICK_NEEDS("near", width);
  static engine::Signal* make(Bench& b) {
    engine::Signal* const centre = W::make(b);
    return b.own(new engine::Near(b, centre, detail::get<Tag::width, TAGS...>::of::length));
  }
};

template <class L>
struct hilt : detail::signal {
  static_assert(measures<L, Measure::mm>, "wick: hilt<L> takes mm<...>");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Fall(b, L::length, false)); }
};

template <class L>
struct tip : detail::signal {
  static_assert(measures<L, Measure::mm>, "wick: tip<L> takes mm<...>");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Fall(b, L::length, true)); }
};

template <class... NONE>
struct along : detail::signal {
  static_assert(sizeof...(NONE) == 0, "wick: along<> takes nothing");
  static engine::Signal* make(Bench& b) { return b.own(new engine::Along(b)); }
};

// ---- events ---------------------------------------------------------------------------------

template <class EVENT, class... TAGS>
struct upon : detail::signal {
  static_assert(is<detail::event, EVENT>, "wick: upon<EVENT, ...> begins with an event");
  WICK_TAGS("upon", Tag::shape, Tag::keys);
  static_assert(sizeof...(TAGS) < 2, "wick: upon<EVENT, ...> takes one shape");
  using form = typename shape_in<TAGS...>::type;
  static_assert(sizeof(fits<EVENT, form>) > 0);
  static engine::Signal* make(Bench& b) { return form::template make<EVENT>(b); }
};

template <class EVENT>
struct place : detail::signal {
  static_assert(is<detail::event, EVENT>, "wick: place<EVENT> takes an event");
  static engine::Signal* make(Bench& b) { return b.own(new engine::PlaceOf(b, EVENT::kind)); }
};

template <class EVENT>
struct strength : detail::signal {
  static_assert(is<detail::event, EVENT>, "wick: strength<EVENT> takes an event");
  static engine::Signal* make(Bench& b) { return b.own(new engine::StrengthOf(b, EVENT::kind)); }
};

template <class EVENT, class... TAGS>
struct since : detail::signal {
  static_assert(is<detail::event, EVENT>, "wick: since<EVENT, ...> begins with an event");
  WICK_TAGS("since", Tag::over);
  WICK_NEEDS("since", over);
  static engine::Signal* make(Bench& b) {
    return b.own(new engine::Since(b, EVENT::kind, us_of<Tag::over, TAGS...>()));
  }
};

// ---- arithmetic -----------------------------------------------------------------------------

#define WICK_FOLDED(name, how)                                                                  \
  template <class... W>                                                                         \
  struct name : detail::signal {                                                                \
    static_assert(sizeof...(W) > 0, "wick: " #name "<...> needs at least one signal");           \
    static_assert((is<detail::signal, W> && ...), "wick: " #name "<...> takes signals");         \
    static engine::Signal* make(Bench& b) {                                                     \
      return b.own(new engine::Folded(b, engine::Fold::how, std::vector<engine::Signal*>{W::make(b)...})); \
    }                                                                                           \
  }
WICK_FOLDED(product, PRODUCT);
WICK_FOLDED(most, MOST);
WICK_FOLDED(least, LEAST);
#undef WICK_FOLDED

template <class W>
struct inverse : detail::signal {
  static_assert(is<detail::signal, W>, "wick: inverse<W> takes a signal");
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Inverse(b, of));
  }
};

template <class W, class LEVEL>
struct past : detail::signal {
  static_assert(is<detail::signal, W>, "wick: past<W, LEVEL> begins with a signal");
  static_assert(measures<LEVEL, Measure::pct>, "wick: the level of past<W, LEVEL> is pct<...>");
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Past(b, of, LEVEL::share));
  }
};

template <class W, class CURVE>
struct ease : detail::signal {
  static_assert(is<detail::signal, W>, "wick: ease<W, CURVE> begins with a signal");
  static_assert(is<detail::curve, CURVE>, "wick: ease<W, CURVE> takes a curve, such as curve::ease_in");
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Ease(b, of, CURVE::make()));
  }
};

template <class W, class... TAGS>
struct slew : detail::signal {
  static_assert(is<detail::signal, W>, "wick: slew<W, ...> begins with a signal");
  WICK_TAGS("slew", Tag::up, Tag::down);
  WICK_NEEDS("slew", up);
  WICK_NEEDS("slew", down);
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Slew(b, of, us_of<Tag::up, TAGS...>(), us_of<Tag::down, TAGS...>()));
  }
};

}  // namespace made

template <class WAVE, class... TAGS>
using lfo = detail::checked<made::lfo<WAVE, TAGS...>>;
template <class W, class... TAGS>
using near = detail::checked<made::near<W, TAGS...>>;
template <class EVENT, class... TAGS>
using upon = detail::checked<made::upon<EVENT, TAGS...>>;
template <class EVENT, class... TAGS>
using since = detail::checked<made::since<EVENT, TAGS...>>;
template <class W, class LEVEL>
using past = detail::checked<made::past<W, LEVEL>>;
template <class W, class CURVE>
using ease = detail::checked<made::ease<W, CURVE>>;
template <class W, class... TAGS>
using slew = detail::checked<made::slew<W, TAGS...>>;
WICK_NAME_CLASS(k);
WICK_NAME_CLASS(hilt);
WICK_NAME_CLASS(tip);
WICK_NAME_CLASS(place);
WICK_NAME_CLASS(strength);
WICK_NAME_CLASS(inverse);
WICK_NAME_PACK(noise);
WICK_NAME_PACK(sound);
WICK_NAME_PACK(swing);
WICK_NAME_PACK(tilt);
WICK_NAME_PACK(twist);
WICK_NAME_PACK(along);
WICK_NAME_PACK(product);
WICK_NAME_PACK(most);
WICK_NAME_PACK(least);

}  // namespace wick
#endif
