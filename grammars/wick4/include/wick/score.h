// score.h: wick 4: a style is a score, a ground and named cues; arguments are named by tag, in any order. C++20.
//
//   using lamp = wick::score<
//     wick::ground<wick::srgb<255, 120, 40>>,
//     wick::cue<wick::when<wick::clash>, wick::paint<wick::named<"linen">>, wick::shape<wick::burst<wick::ms<80>>>>,
//     wick::power<wick::rise<wick::wipe<wick::over<wick::ms<300>>>>, wick::fall<wick::cut<>>>>;
//
// Paints: paints.h; events, curves, shapes: events.h; signals: signals.h; layers, transitions and tables: here. Styles
// of generation 3 inside a score: compat3.h. Written from the language, not from any pack: it is the packs' check.
#ifndef WICK_SCORE_H
#define WICK_SCORE_H
#if __cplusplus < 202002L
#error "wick: score.h needs C++20 (-std=c++20)"
#endif
#include "signals.h"

namespace wick {
namespace made {

// ---- transitions ----------------------------------------------------------------------------

// A step of `us` microseconds; `soft` is of a wipe, `at` of an iris.
inline engine::Transition one_step(engine::Move move, std::int64_t us, engine::Length soft = {0, engine::MM},
                                   double at = 0) {
  engine::Transition t;
  t.steps.push_back({move, us, soft, at});
  return t;
}

template <class... NONE>
struct cut : detail::transition {
  static_assert(sizeof...(NONE) == 0, "wick: cut<> takes nothing");
  static engine::Transition make(Bench&) { return one_step(engine::Move::CUT, 0); }
};

template <class... TAGS>
struct wipe : detail::transition {
  WICK_TAGS("wipe", Tag::over, Tag::soft);
  WICK_NEEDS("wipe", over);
  static engine::Transition make(Bench&) {
    engine::Length soft = {0, engine::MM};
    if constexpr (detail::has<Tag::soft, TAGS...>) soft = detail::get<Tag::soft, TAGS...>::of::length;
    return one_step(engine::Move::WIPE, us_of<Tag::over, TAGS...>(), soft);
  }
};

template <class... TAGS>
struct dissolve : detail::transition {
  WICK_TAGS("dissolve", Tag::over);
  WICK_NEEDS("dissolve", over);
  static engine::Transition make(Bench&) { return one_step(engine::Move::DISSOLVE, us_of<Tag::over, TAGS...>()); }
};

template <class... TAGS>
struct iris : detail::transition {
  WICK_TAGS("iris", Tag::over, Tag::at);
  WICK_NEEDS("iris", over);
  static constexpr double position() {
    if constexpr (!detail::has<Tag::at, TAGS...>)
      return 0.5;
    else if constexpr (detail::get<Tag::at, TAGS...>::place)
      return detail::get<Tag::at, TAGS...>::of::share;
    else
      return -1;
  }
  static_assert(position() >= 0, "wick: the place of iris is at<pct<...>>");
  static engine::Transition make(Bench&) {
    return one_step(engine::Move::IRIS, us_of<Tag::over, TAGS...>(), {0, engine::MM}, position());
  }
};

template <class D>
struct rest : detail::transition {
  static_assert(measures<D, Measure::ms>, "wick: rest<...> takes ms<...>");
  static engine::Transition make(Bench&) { return one_step(engine::Move::REST, D::us); }
};

// T, P, T, ...: a chain inside a chain is played as if it were written out.
template <class... PARTS>
struct chain : detail::transition {
  static constexpr bool by_turns() {
    const bool transition[] = {is<detail::transition, PARTS>..., true}, painted[] = {is<detail::paint, PARTS>..., true};
    for (std::size_t i = 0; i < sizeof...(PARTS); ++i)
      if (!(i % 2 ? painted[i] : transition[i])) return false;
    return sizeof...(PARTS) % 2 == 1;
  }
  static_assert(sizeof...(PARTS) >= 3, "wick: chain<T, P, T, ...> needs two transitions and a paint between them");
  static_assert(by_turns(), "wick: chain<T, P, T, ...> takes transitions and paints by turns, transitions outside");

  template <class PART>
  static void add(Bench& b, engine::Transition& whole) {
    if constexpr (is<detail::paint, PART>) {
      whole.paints.push_back(PART::make(b));
    } else {
      const engine::Transition part = PART::make(b);
      whole.steps.insert(whole.steps.end(), part.steps.begin(), part.steps.end());
      whole.paints.insert(whole.paints.end(), part.paints.begin(), part.paints.end());
    }
  }
  static engine::Transition make(Bench& b) {
    engine::Transition whole;
    (add<PARTS>(b, whole), ...);
    return whole;
  }
};

// ---- layers ---------------------------------------------------------------------------------

template <class P>
struct ground : detail::ground {
  static_assert(is<detail::paint, P>, "wick: ground<P> takes a paint");
  static void add(engine::Player& p) { p.ground = P::make(p.bench); }
};

template <class P, class... TAGS>
struct veil : detail::layer {
  static_assert(is<detail::paint, P>, "wick: veil<P, ...> begins with a paint");
  WICK_TAGS("veil", Tag::by);
  WICK_NEEDS("veil", by);
  static void add(engine::Player& p) {
    engine::Paint* const paint = P::make(p.bench);
    p.sheets.push_back({paint, detail::get<Tag::by, TAGS...>::of::make(p.bench), false});
  }
};

template <class P, class... TAGS>
struct gleam : detail::layer {
  static_assert(is<detail::paint, P>, "wick: gleam<P, ...> begins with a paint");
  WICK_TAGS("gleam", Tag::by, Tag::in);
  WICK_NEEDS("gleam", by);
  static constexpr bool in_light() {
    if constexpr (detail::has<Tag::in, TAGS...>)
      return detail::get<Tag::in, TAGS...>::space == engine::Space::LINEAR;
    else
      return true;
  }
  static_assert(in_light(), "wick: gleam<...> adds light: in<linear> is all it can say");
  static void add(engine::Player& p) {
    engine::Paint* const paint = P::make(p.bench);
    p.sheets.push_back({paint, detail::get<Tag::by, TAGS...>::of::make(p.bench), true});
  }
};

template <class... TAGS>
struct trail : detail::tag<Tag::trail> {
  WICK_TAGS("trail", Tag::half_life);
  WICK_NEEDS("trail", half_life);
  static constexpr std::int64_t half = us_of<Tag::half_life, TAGS...>();
};

template <class... TAGS>
struct scatter : detail::tag<Tag::scatter> {
  WICK_TAGS("scatter", Tag::count, Tag::reach);
  WICK_NEEDS("scatter", count);
  WICK_NEEDS("scatter", reach);
  static engine::Signal* make(Bench& b, stage::Event kind, engine::Envelope* shape) {
    return b.own(new engine::Scatter(b, kind, shape, detail::get<Tag::count, TAGS...>::value,
                                     detail::get<Tag::reach, TAGS...>::of::length));
  }
};

template <class... TAGS>
struct cue : detail::layer {
  WICK_TAGS("cue", Tag::when, Tag::paint, Tag::shape, Tag::reach, Tag::trail, Tag::scatter);
  WICK_NEEDS("cue", when);
  WICK_NEEDS("cue", paint);
  static_assert(!(detail::has<Tag::scatter, TAGS...> && detail::has<Tag::reach, TAGS...>),
                "wick: a cue with scatter<...> has no reach<...> of its own: scatter holds it");
  using form = typename shape_in<TAGS...>::type;
  static constexpr bool fitting() {
    if constexpr (detail::has<Tag::when, TAGS...>)
      return sizeof(fits<typename detail::get<Tag::when, TAGS...>::of, form>) > 0;
    else
      return true;
  }
  static_assert(fitting());

  // Numbered as the signature has it, whatever the order of the tags: paint, shape, sparks.
  static void add(engine::Player& p) {
    Bench& b = p.bench;
    engine::Paint* const paint = detail::get<Tag::paint, TAGS...>::of::make(b);
    engine::Signal* weight = place(b);
    if constexpr (detail::has<Tag::trail, TAGS...>)
      weight = b.own(new engine::Trail(b, weight, detail::get<Tag::trail, TAGS...>::half));
    p.sheets.push_back({paint, weight, false});
  }

 private:
  static engine::Signal* place(Bench& b) {
    using event = typename detail::get<Tag::when, TAGS...>::of;
    engine::Envelope* const shape = form::template make<event>(b);
    if constexpr (detail::has<Tag::scatter, TAGS...>) {
      return detail::get<Tag::scatter, TAGS...>::make(b, event::kind, shape);
    } else if constexpr (detail::has<Tag::reach, TAGS...>) {
      engine::Signal* const centre = b.own(new engine::PlaceOf(b, event::kind));
      engine::Signal* const spot = b.own(new engine::Near(b, centre, detail::get<Tag::reach, TAGS...>::of::length));
      return b.own(new engine::Folded(b, engine::Fold::PRODUCT, {shape, spot}));
    } else {
      return shape;
    }
  }
};

template <class P, class... TAGS>
struct edge : detail::layer {
  static_assert(is<detail::paint, P>, "wick: edge<P, ...> begins with a paint");
  WICK_TAGS("edge", Tag::width);
  WICK_NEEDS("edge", width);
  static void add(engine::Player& p) {
    engine::Paint* const paint = P::make(p.bench);
    p.sheets.push_back(
        {paint, p.bench.own(new engine::EdgeBand(p.bench, detail::get<Tag::width, TAGS...>::of::length)), false});
  }
};

template <class... TAGS>
struct power : detail::power {
  WICK_TAGS("power", Tag::rise, Tag::fall);
  WICK_NEEDS("power", rise);
  WICK_NEEDS("power", fall);
  static void add(engine::Player& p) {
    engine::Transition up = detail::get<Tag::rise, TAGS...>::of::make(p.bench);
    engine::Transition down = detail::get<Tag::fall, TAGS...>::of::make(p.bench);
    p.set_power(std::move(up), std::move(down));
  }
};

// ---- the score and the table ----------------------------------------------------------------

template <class... LAYERS>
struct score : detail::style {
  static constexpr std::size_t layers = sizeof...(LAYERS);
  static_assert((is<detail::layer, LAYERS> && ...),
                "wick: score<...> takes layers: ground, cue, veil, gleam, edge, power");
  static constexpr bool grounded() {
    const bool ground[] = {is<detail::ground, LAYERS>..., false};
    for (std::size_t i = 1; i < layers; ++i)
      if (ground[i]) return false;
    return ground[0];
  }
  static constexpr bool power_last() {
    const bool power[] = {is<detail::power, LAYERS>..., false};
    for (std::size_t i = 0; i + 1 < layers; ++i)
      if (power[i]) return false;
    return true;
  }
  static_assert(grounded(), "wick: score<...> has one ground<...>, and it stands first");
  static_assert(power_last(), "wick: score<...> has one power<...> at most, and it stands last");
  static void build(engine::Player& p) { (LAYERS::add(p), ...); }
};

template <class... TAGS>
struct slot : detail::slot {
  WICK_TAGS("slot", Tag::style, Tag::sounds, Tag::label);
  WICK_NEEDS("slot", style);
  WICK_NEEDS("slot", sounds);
  WICK_NEEDS("slot", label);
};

template <class... SLOTS>
struct slots {
  static_assert((is<detail::slot, SLOTS> && ...), "wick: slots<...> takes slot<...>");
  static constexpr std::size_t size = sizeof...(SLOTS);
};

}  // namespace made

template <class P, class... TAGS>
using veil = detail::checked<made::veil<P, TAGS...>>;
template <class P, class... TAGS>
using gleam = detail::checked<made::gleam<P, TAGS...>>;
template <class P, class... TAGS>
using edge = detail::checked<made::edge<P, TAGS...>>;
WICK_NAME_CLASS(ground);
WICK_NAME_CLASS(rest);
WICK_NAME_PACK(cut);
WICK_NAME_PACK(wipe);
WICK_NAME_PACK(dissolve);
WICK_NAME_PACK(iris);
WICK_NAME_PACK(chain);
WICK_NAME_PACK(trail);
WICK_NAME_PACK(scatter);
WICK_NAME_PACK(cue);
WICK_NAME_PACK(power);
WICK_NAME_PACK(score);
WICK_NAME_PACK(slot);
WICK_NAME_PACK(slots);

}  // namespace wick

// What stage.h plays: one style on one scene.
template <class STYLE>
class wick_performer {
  static_assert(wick::detail::is<wick::detail::style, STYLE>, "wick: only a score can be played");

 public:
  explicit wick_performer(const stage::Scene& scene) : player_(scene) { STYLE::build(player_); }
  void draw(std::int64_t us, unsigned char* rgb) { player_.draw(us, rgb); }

 private:
  wick::engine::Player player_;
};

#undef WICK_TAGS
#undef WICK_NEEDS
#undef WICK_CODES
#undef WICK_NAME_AUTO
#undef WICK_NAME_CLASS
#undef WICK_NAME_PACK
#endif
