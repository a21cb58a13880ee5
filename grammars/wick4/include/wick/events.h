// events.h: the events, waves, curves, shapes and kinds of noise of wick 4. How they are checked and named: tags.h.
#ifndef WICK_EVENTS_H
#define WICK_EVENTS_H
#include "paints.h"

namespace wick {

// ---- events, waves, curves ------------------------------------------------------------------

namespace detail {

template <stage::Event KIND, bool HELD>
struct event_of : event {
  static constexpr stage::Event kind = KIND;
  static constexpr bool held = HELD;
};

template <engine::Wave SHAPE>
struct wave_of : wave {
  static constexpr engine::Wave shape = SHAPE;
};

template <engine::Jump HOW>
struct jump_of : jump {
  static constexpr engine::Jump how = HOW;
};

}  // namespace detail

struct ignite : detail::event_of<stage::IGNITE, false> {};
struct retract : detail::event_of<stage::RETRACT, false> {};
struct clash : detail::event_of<stage::CLASH, false> {};
struct blast : detail::event_of<stage::BLAST, false> {};
struct lock : detail::event_of<stage::LOCK, true> {};
struct drag : detail::event_of<stage::DRAG, true> {};
struct melt : detail::event_of<stage::MELT, true> {};

struct sine : detail::wave_of<engine::Wave::SINE> {};
struct triangle : detail::wave_of<engine::Wave::TRIANGLE> {};
struct saw : detail::wave_of<engine::Wave::SAW> {};
struct square : detail::wave_of<engine::Wave::SQUARE> {};

struct jump_start : detail::jump_of<engine::Jump::START> {};
struct jump_end : detail::jump_of<engine::Jump::END> {};
struct jump_none : detail::jump_of<engine::Jump::NONE> {};
struct jump_both : detail::jump_of<engine::Jump::BOTH> {};

namespace made {

template <auto X1, auto Y1, auto X2, auto Y2>
struct cubic_bezier : detail::curve {
  static_assert(detail::number<decltype(X1)> && detail::number<decltype(Y1)> && detail::number<decltype(X2)> &&
                    detail::number<decltype(Y2)>,
                "wick: cubic_bezier<X1, Y1, X2, Y2> takes numbers");
  static_assert(detail::real<X1>() >= 0 && detail::real<X1>() <= 1 && detail::real<X2>() >= 0 &&
                    detail::real<X2>() <= 1,
                "wick: X1 and X2 of cubic_bezier are 0 to 1");
  static engine::Curve make() {
    return engine::Curve(
        engine::Bezier{detail::real<X1>(), detail::real<Y1>(), detail::real<X2>(), detail::real<Y2>()});
  }
};

template <auto N, class JUMP>
struct steps : detail::curve {
  static_assert(detail::whole_number<decltype(N)>, "wick: steps<N, JUMP> takes a plain integer");
  static_assert(is<detail::jump, JUMP>, "wick: steps<N, JUMP> takes jump_start, jump_end, jump_none or jump_both");
  static_assert(detail::real<N>() >= (std::is_same_v<JUMP, jump_none> ? 2 : 1),
                "wick: steps<N, JUMP> needs 1 step, with jump_none 2");
  static engine::Curve make() { return engine::Curve(engine::Steps{int(detail::real<N>()), JUMP::how}); }
};

}  // namespace made

template <auto X1, auto Y1, auto X2, auto Y2>
using cubic_bezier = detail::checked<made::cubic_bezier<X1, Y1, X2, Y2>>;
template <auto N, class JUMP>
using steps = detail::checked<made::steps<N, JUMP>>;

// CSS Easing Level 2's keywords.
namespace curve {
struct linear : detail::curve {
  static engine::Curve make() { return engine::Curve(); }
};
struct ease : made::cubic_bezier<0.25, 0.1, 0.25, 1.0> {};
struct ease_in : made::cubic_bezier<0.42, 0.0, 1.0, 1.0> {};
struct ease_out : made::cubic_bezier<0.0, 0.0, 0.58, 1.0> {};
struct ease_in_out : made::cubic_bezier<0.42, 0.0, 0.58, 1.0> {};
struct step_start : made::steps<1, jump_start> {};
struct step_end : made::steps<1, jump_end> {};
}  // namespace curve

// ---- noise's kinds and grains ---------------------------------------------------------------

template <class... V>
struct hold;
template <class... V>
struct drift;

struct whole {
  static constexpr engine::Cells cells = engine::Cells::WHOLE;
  static constexpr engine::Length length = {0, engine::MM};
};
struct each {
  static constexpr engine::Cells cells = engine::Cells::EACH;
  static constexpr engine::Length length = {0, engine::MM};
};

namespace detail {

template <template <class...> class KIND>
inline constexpr int kind_of = -1;
template <>
inline constexpr int kind_of<hold> = int(engine::NoiseKind::HOLD);
template <>
inline constexpr int kind_of<soft> = int(engine::NoiseKind::SOFT);
template <>
inline constexpr int kind_of<drift> = int(engine::NoiseKind::DRIFT);

}  // namespace detail

namespace made {

template <template <class...> class KIND>
struct kind : detail::tag<Tag::kind> {
  static_assert(detail::kind_of<KIND> >= 0, "wick: kind<...> takes hold, soft or drift");
  static constexpr engine::NoiseKind value = engine::NoiseKind(detail::kind_of<KIND>);
};

template <class G>
struct grain : detail::tag<Tag::grain> {
  static constexpr bool measured = measures<G, Measure::mm>;
  static constexpr bool counted = std::is_same_v<G, wick::whole> || std::is_same_v<G, wick::each>;
  static_assert(measured || counted, "wick: grain<...> takes whole, each or mm<...>");
  static constexpr engine::Cells cells() {
    if constexpr (counted)
      return G::cells;
    else
      return engine::Cells::GRAIN;
  }
  static constexpr engine::Length length = G::length;
  static_assert(counted || length.value > 0, "wick: a grain is above 0; each is a cell a pixel");
};

// ---- shapes ---------------------------------------------------------------------------------

// The duration of a tag in microseconds; a missing one is 0.
template <Tag NAME, class... TAGS>
constexpr std::int64_t us_of() {
  if constexpr (detail::has<NAME, TAGS...>)
    return detail::get<NAME, TAGS...>::of::us;
  else
    return 0;
}

template <class... TAGS>
struct keys : detail::tag<Tag::keys> {
  static_assert(((detail::among({Tag::at, Tag::easing}, detail::tag_of<TAGS>)) && ...),
                "wick: keys<...> takes at<ms<...>, W> and easing<...>");
  static_assert(detail::has<Tag::at, TAGS...>, "wick: keys<...> needs at least one at<ms<...>, W>");
  static_assert(detail::distinct<TAGS...>(Tag::at), "wick: keys has the same tag twice");

  template <class T>
  static constexpr std::int64_t time_of() {
    if constexpr (detail::tag_of<T> != Tag::at)
      return -1;
    else if constexpr (T::key)
      return T::of::us;
    else
      return -2;
  }
  static_assert(((time_of<TAGS>() != -2) && ...), "wick: keys<...> takes at<ms<...>, W>: a time and a signal");
  static constexpr bool rising() {
    std::int64_t last = 0;
    for (std::int64_t t : {time_of<TAGS>()...}) {
      if (t >= 0 && t < last) return false;
      if (t >= 0) last = t;
    }
    return true;
  }
  static_assert(rising(), "wick: the times of keys<...> must not fall");

  template <class T>
  static void add(Bench& b, std::vector<engine::Key>& to) {
    if constexpr (detail::tag_of<T> == Tag::at) to.push_back(T::make_key(b));
  }
  static engine::Envelope* make(Bench& b, stage::Event event) {
    std::vector<engine::Key> list;
    (add<TAGS>(b, list), ...);
    engine::Curve curve;
    if constexpr (detail::has<Tag::easing, TAGS...>) curve = detail::get<Tag::easing, TAGS...>::of::make();
    return b.own(new engine::Keyframes(b, event, std::move(list), curve));
  }
};

template <class... TAGS>
struct shape : detail::tag<Tag::shape> {
  WICK_TAGS("shape", Tag::burst, Tag::attack, Tag::decay, Tag::release, Tag::keys);
  static constexpr bool keyed = detail::has<Tag::keys, TAGS...>, bursts = detail::has<Tag::burst, TAGS...>;
  static constexpr bool decays = detail::has<Tag::decay, TAGS...>, releases = detail::has<Tag::release, TAGS...>;
  static constexpr bool empty = sizeof...(TAGS) == 0;
  static_assert(sizeof...(TAGS) < 2 || !(keyed || bursts), "wick: burst<...> or keys<...> is the whole of a shape");
  static_assert(!(decays && releases), "wick: a shape has decay<...> or release<...>, not both");

  template <class EVENT>
  static engine::Envelope* make(Bench& b) {
    constexpr stage::Event kind = EVENT::kind;
    constexpr std::int64_t attack = us_of<Tag::attack, TAGS...>();
    if constexpr (keyed)
      return detail::get<Tag::keys, TAGS...>::make(b, kind);
    else if constexpr (bursts)
      return b.own(new engine::Pulse(b, kind, engine::Form::BURST, us_of<Tag::burst, TAGS...>(), 0));
    else if constexpr (EVENT::held && !decays)
      return b.own(new engine::Pulse(b, kind, engine::Form::HELD, attack, us_of<Tag::release, TAGS...>()));
    else
      return b.own(new engine::Pulse(b, kind, engine::Form::HIT, attack, us_of<Tag::decay, TAGS...>()));
  }
};

// What a cue or an upon was given, or an empty shape; keys<...> may stand without shape<...> round it.
template <class... TAGS>
struct shape_in {
  static constexpr bool bare = detail::has<Tag::keys, TAGS...>;
  using given = detail::get<bare ? Tag::keys : Tag::shape, TAGS...>;
  using shaped = std::conditional_t<detail::has<Tag::shape, TAGS...>, given, shape<>>;
  using type = std::conditional_t<bare, shape<given>, shaped>;
};

// Whether EVENT can have SHAPE; the messages are the language's own.
template <class EVENT, class SHAPE>
struct fits {
  static_assert(EVENT::held || !SHAPE::empty, "wick: an instant event needs a shape<...>");
  static_assert(EVENT::held || !SHAPE::releases,
                "wick: release<...> belongs to held events (lock, drag, melt); an instant event has decay<...>");
};

}  // namespace made

template <template <class...> class KIND>
using kind = detail::checked<made::kind<KIND>>;
WICK_NAME_CLASS(grain);
WICK_NAME_PACK(keys);
WICK_NAME_PACK(shape);

}  // namespace wick
#endif
