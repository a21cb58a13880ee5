// compat3.h: what wick 4 still reads of generation 3: its colours, event sheets, signals and paints inside a score.
// Deprecated: each use warns, unless WICK_QUIET_COMPAT is defined first. Lengths, weights and levels are per mille,
// times milliseconds, all of them integers. Mixing is linear, as it was, in doubles. What changed its parameters or its
// mixing stands under wick::v3::. There is no pile, power, edge, veil, gleam and no transition of generation 3 here.
#ifndef WICK_COMPAT3_H
#define WICK_COMPAT3_H
#include "score.h"

#ifdef WICK_QUIET_COMPAT
#define WICK_OLD(instead)
#else
#define WICK_OLD(instead) [[deprecated("wick 3: write " instead)]]
#endif

namespace wick {

namespace detail {
struct old_shape {};
struct old_stop {};

constexpr engine::Length mil(int length) { return {double(length), engine::MIL}; }
constexpr std::int64_t us(int ms) { return std::int64_t(ms) * 1000; }
}  // namespace detail

// The bodies.
namespace made3 {

using detail::is;
using engine::Bench;

#define WICK_RANGE(what, value, low, high) \
  static_assert((value) >= (low) && (value) <= (high), "wick 3: " what " is " #low " to " #high)
#define WICK_OPERAND(what, sort, type) static_assert(is<detail::sort, type>, "wick 3: " what)

// ---- colours and paints ---------------------------------------------------------------------

template <int R, int G, int B>
struct rgb : detail::literal<rgb<R, G, B>> {
  WICK_RANGE("a channel of rgb", R, 0, 255);
  WICK_RANGE("a channel of rgb", G, 0, 255);
  WICK_RANGE("a channel of rgb", B, 0, 255);
  static engine::Rgb light() { return engine::from_srgb(R, G, B); }
};

template <class A, class B, class W>
struct blend : detail::paint {
  static_assert(is<detail::paint, A> && is<detail::paint, B>, "wick 3: blend<A, B, W> begins with two paints");
  WICK_OPERAND("the weight of blend<A, B, W> is a signal", signal, W);
  static engine::Paint* make(Bench& b) {
    engine::Paint* const from = A::make(b);
    engine::Paint* const to = B::make(b);
    engine::Signal* const by = W::make(b);
    return b.own(new engine::Blend(b, from, to, by, engine::Space::LINEAR));
  }
};

template <int WIDTH, int SPEED, bool SOFT, class... P>
struct bands : detail::paint {
  WICK_RANGE("the width of bands", WIDTH, 1, 65535);
  WICK_RANGE("the speed of bands", SPEED, -65535, 65535);
  static_assert(sizeof...(P) > 0, "wick 3: bands need at least one paint");
  static_assert((is<detail::paint, P> && ...), "wick 3: after width and speed, bands take paints");
  static engine::Paint* make(Bench& b) {
    return b.own(
        new engine::Bands(b, detail::mil(WIDTH), SPEED, std::vector<engine::Paint*>{P::make(b)...}, SOFT));
  }
};

template <int PLACE, class P>
struct stop : detail::old_stop {
  WICK_RANGE("the place of a stop", PLACE, 0, 1000);
  WICK_OPERAND("stop<MIL, C> takes a paint", paint, P);
  static constexpr int place = PLACE;
  static engine::Paint* make(Bench& b) { return P::make(b); }
};

template <class... P>
struct ramp : detail::paint {
  static constexpr bool placed = sizeof...(P) > 0 && (is<detail::old_stop, P> && ...);
  static_assert(sizeof...(P) > 0, "wick 3: ramp needs at least one paint");
  static_assert(placed || (is<detail::paint, P> && ...), "wick 3: ramp takes paints, or stops, not both");
  static constexpr bool rising() {
    if constexpr (placed) {
      int last = 0;
      for (int place : {P::place...}) {
        if (place < last) return false;
        last = place;
      }
    }
    return true;
  }
  static_assert(rising(), "wick 3: the stops of ramp must not fall");
  static engine::Paint* make(Bench& b) {
    std::vector<double> at;
    if constexpr (placed) at = {(P::place / 1000.0)...};
    std::vector<engine::Paint*> paints = {P::make(b)...};
    return b.own(new engine::Ramp(b, std::move(paints), std::move(at), engine::Space::LINEAR));
  }
};

template <class A, class B, int GRAIN, int SPEED>
struct hearth : detail::paint {
  static_assert(is<detail::paint, A> && is<detail::paint, B>, "wick 3: hearth<A, B, ...> begins with two paints");
  WICK_RANGE("the grain of hearth", GRAIN, 1, 65535);
  WICK_RANGE("the speed of hearth", SPEED, -65535, 65535);
  static engine::Paint* make(Bench& b) {
    engine::Paint* const from = A::make(b);
    engine::Paint* const to = B::make(b);
    return b.own(new engine::Hearth(b, from, to, detail::mil(GRAIN), SPEED));
  }
};

template <class P, class W>
struct shade : detail::paint {
  WICK_OPERAND("shade<P, W> begins with a paint", paint, P);
  WICK_OPERAND("the weight of shade<P, W> is a signal", signal, W);
  static engine::Paint* make(Bench& b) {
    engine::Paint* const of = P::make(b);
    engine::Signal* const by = W::make(b);
    return b.own(new engine::Shade(b, of, by));
  }
};

// ---- signals --------------------------------------------------------------------------------

template <int MIL>
struct k : detail::signal {
  WICK_RANGE("k", MIL, 0, 1000);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Constant(b, MIL / 1000.0)); }
};

template <class WAVE, int MS, int PHASE>
struct lfo : detail::signal {
  WICK_OPERAND("lfo<WAVE, MS, PHASE> begins with sine, triangle, saw or square", wave, WAVE);
  WICK_RANGE("the period of a wave", MS, 1, 65535);
  WICK_RANGE("the phase of lfo", PHASE, 0, 1000);
  static engine::Signal* make(Bench& b) {
    return b.own(new engine::Lfo(b, WAVE::shape, detail::us(MS), PHASE / 1000.0));
  }
};

template <class A, class B, int MS>
struct sway : blend<A, B, lfo<sine, MS, 0>> {};

template <int HZ, int GRAIN, bool SOFT>
struct noise : detail::signal {
  WICK_RANGE("the rate of noise", HZ, 1, 1000);
  WICK_RANGE("the grain of noise", GRAIN, 0, 1000);
  static engine::Signal* make(Bench& b) {
    constexpr engine::Cells cells = GRAIN == 0 ? engine::Cells::EACH : engine::Cells::GRAIN;
    constexpr engine::NoiseKind kind = SOFT ? engine::NoiseKind::SOFT : engine::NoiseKind::HOLD;
    return b.own(new engine::Noise(b, kind, HZ * 1000, cells, detail::mil(GRAIN)));
  }
};

template <int LAG>
struct sound : detail::signal {
  WICK_RANGE("the lag of sound", LAG, 0, 65535);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Sound(b, detail::us(LAG))); }
};

template <int FULL>
struct swing : detail::signal {
  WICK_RANGE("the full speed of swing", FULL, 1, 65535);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Swing(b, FULL)); }
};

template <class W, int WIDTH>
struct near : detail::signal {
  WICK_OPERAND("near<W, MIL> begins with a signal", signal, W);
  WICK_RANGE("the width of near", WIDTH, 0, 65535);
  static engine::Signal* make(Bench& b) {
    engine::Signal* const centre = W::make(b);
    return b.own(new engine::Near(b, centre, detail::mil(WIDTH)));
  }
};

template <int LENGTH, bool TIP>
struct end : detail::signal {
  WICK_RANGE("the length of hilt or tip", LENGTH, 0, 65535);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Fall(b, detail::mil(LENGTH), TIP)); }
};

template <class EVENT, int MS>
struct since : detail::signal {
  WICK_OPERAND("since<EVENT, MS> begins with an event", event, EVENT);
  WICK_RANGE("the time of since", MS, 0, 65535);
  static engine::Signal* make(Bench& b) { return b.own(new engine::Since(b, EVENT::kind, detail::us(MS))); }
};

template <class W, int LEVEL>
struct past : detail::signal {
  WICK_OPERAND("past<W, MIL> begins with a signal", signal, W);
  WICK_RANGE("the level of past", LEVEL, 0, 1000);
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Past(b, of, LEVEL / 1000.0));
  }
};

template <class W, int UP, int DOWN>
struct slew : detail::signal {
  WICK_OPERAND("slew<W, UP_MS, DOWN_MS> begins with a signal", signal, W);
  WICK_RANGE("the rise of slew", UP, 0, 65535);
  WICK_RANGE("the fall of slew", DOWN, 0, 65535);
  static engine::Signal* make(Bench& b) {
    engine::Signal* const of = W::make(b);
    return b.own(new engine::Slew(b, of, detail::us(UP), detail::us(DOWN)));
  }
};

// ---- shapes and event sheets ----------------------------------------------------------------

template <engine::Form FORM, int A, int Z>
struct pulse : detail::old_shape {
  WICK_RANGE("the first time of a shape", A, 0, 65535);
  WICK_RANGE("the second time of a shape", Z, 0, 65535);
  static constexpr engine::Form form = FORM;
  static engine::Envelope* make(Bench& b, stage::Event kind) {
    return b.own(new engine::Pulse(b, kind, FORM, detail::us(A), detail::us(Z)));
  }
};

template <class EVENT, class SHAPE>
struct upon : detail::signal {
  WICK_OPERAND("here an event stands first: ev::clash and its like", event, EVENT);
  WICK_OPERAND("here a shape of wick 3 is wanted: v3::burst, hit or held", old_shape, SHAPE);
  static constexpr bool fitting() {
    if constexpr (is<detail::event, EVENT> && is<detail::old_shape, SHAPE>)
      return EVENT::held || SHAPE::form != engine::Form::HELD;
    return true;
  }
  static_assert(fitting(), "wick 3: held<...> belongs to held events (lock, drag, melt)");
  static engine::Envelope* make(Bench& b) { return SHAPE::make(b, EVENT::kind); }
};

template <class EVENT, class P, class SHAPE>
struct on : detail::layer {
  WICK_OPERAND("an event sheet takes a paint after its event", paint, P);
  static_assert(sizeof(upon<EVENT, SHAPE>) > 0);
  static void add(engine::Player& p) {
    engine::Paint* const paint = P::make(p.bench);
    p.sheets.push_back({paint, upon<EVENT, SHAPE>::make(p.bench), false});
  }
};

template <class EVENT, class P, int WIDTH, class SHAPE>
struct spot : detail::layer {
  WICK_OPERAND("an event sheet takes a paint after its event", paint, P);
  WICK_RANGE("the width of spot", WIDTH, 0, 65535);
  static_assert(sizeof(upon<EVENT, SHAPE>) > 0);
  static void add(engine::Player& p) {
    Bench& b = p.bench;
    engine::Paint* const paint = P::make(b);
    engine::Signal* const shape = upon<EVENT, SHAPE>::make(b);
    engine::Signal* const centre = b.own(new engine::PlaceOf(b, EVENT::kind));
    engine::Signal* const hump = b.own(new engine::Near(b, centre, detail::mil(WIDTH)));
    p.sheets.push_back({paint, b.own(new engine::Folded(b, engine::Fold::PRODUCT, {shape, hump})), false});
  }
};
#undef WICK_RANGE
#undef WICK_OPERAND

}  // namespace made3

// ---- names that only wick 3 has: unqualified ------------------------------------------------

template <int R, int G, int B>
using rgb WICK_OLD("srgb<R, G, B>") = detail::checked<made3::rgb<R, G, B>>;
template <class A, class B, int MS>
using sway WICK_OLD("blend<A, B, by<lfo<sine, period<ms<...>>>>, in<linear>>") =
    detail::checked<made3::sway<A, B, MS>>;
template <int MIL, int MIL_S, class... P>
using soft_bands WICK_OLD("bands<..., edges<soft>>") = detail::checked<made3::bands<MIL, MIL_S, true, P...>>;
template <int HZ, int GRAIN>
using held_noise WICK_OLD("noise<kind<hold>, ...>") = detail::checked<made3::noise<HZ, GRAIN, false>>;
template <int HZ, int GRAIN>
using soft_noise WICK_OLD("noise<kind<soft>, ...>") = detail::checked<made3::noise<HZ, GRAIN, true>>;
template <int ATTACK, int DECAY>
using hit WICK_OLD("shape<attack<...>, decay<...>>") =
    detail::checked<made3::pulse<engine::Form::HIT, ATTACK, DECAY>>;
template <int ATTACK, int RELEASE>
using held WICK_OLD("shape<attack<...>, release<...>>") =
    detail::checked<made3::pulse<engine::Form::HELD, ATTACK, RELEASE>>;
template <class EVENT, class P, class SHAPE>
using on WICK_OLD("cue<when<EVENT>, paint<P>, shape<...>>") = detail::checked<made3::on<EVENT, P, SHAPE>>;
template <class EVENT, class P, int MIL, class SHAPE>
using spot WICK_OLD("cue<when<EVENT>, paint<P>, reach<...>, shape<...>>") =
    detail::checked<made3::spot<EVENT, P, MIL, SHAPE>>;

namespace css {
#define WICK_CSS_TYPE(name, value) struct WICK_OLD("named<\"" #name "\">") name : detail::packed<value> {};
WICK_CSS_NAMES(WICK_CSS_TYPE)
#undef WICK_CSS_TYPE
}  // namespace css

namespace ev {
using ignite WICK_OLD("ignite") = wick::ignite;
using retract WICK_OLD("retract") = wick::retract;
using clash WICK_OLD("clash") = wick::clash;
using blast WICK_OLD("blast") = wick::blast;
using lock WICK_OLD("lock") = wick::lock;
using drag WICK_OLD("drag") = wick::drag;
using melt WICK_OLD("melt") = wick::melt;
}  // namespace ev

// ---- names whose parameters or mixing changed -----------------------------------------------

namespace v3 {

WICK_OLD("whole") inline constexpr int whole = 1000;
WICK_OLD("each") inline constexpr int each = 0;

template <class A, class B, class W>
using blend WICK_OLD("blend<A, B, by<W>, in<linear>>") = detail::checked<made3::blend<A, B, W>>;
template <int MIL, int MIL_S, class... P>
using bands WICK_OLD("bands<paints<...>, width<...>, speed<...>>") =
    detail::checked<made3::bands<MIL, MIL_S, false, P...>>;
template <int MIL, class P>
using stop WICK_OLD("stop<at<pct<...>>, C>") = detail::checked<made3::stop<MIL, P>>;
template <class... P>
using ramp WICK_OLD("ramp<..., in<linear>>") = detail::checked<made3::ramp<P...>>;
template <class A, class B, int MIL = 45, int MIL_S = 90>
using hearth WICK_OLD("hearth<A, B, grain<...>, speed<...>>") = detail::checked<made3::hearth<A, B, MIL, MIL_S>>;
template <class P, class W>
using shade WICK_OLD("shade<P, by<W>>") = detail::checked<made3::shade<P, W>>;

template <int MIL>
using k WICK_OLD("k<pct<...>>") = detail::checked<made3::k<MIL>>;
template <class WAVE, int MS, int PHASE = 0>
using lfo WICK_OLD("lfo<WAVE, period<...>, phase<...>>") = detail::checked<made3::lfo<WAVE, MS, PHASE>>;
template <int LAG_MS = 0>
using sound WICK_OLD("sound<lag<...>>") = detail::checked<made3::sound<LAG_MS>>;
template <int DPS = 450>
using swing WICK_OLD("swing<full<...>>") = detail::checked<made3::swing<DPS>>;
template <class W, int MIL>
using near WICK_OLD("near<W, width<...>>") = detail::checked<made3::near<W, MIL>>;
template <int MIL>
using hilt WICK_OLD("hilt<mm<...>>") = detail::checked<made3::end<MIL, false>>;
template <int MIL>
using tip WICK_OLD("tip<mm<...>>") = detail::checked<made3::end<MIL, true>>;
template <class EVENT, class SHAPE>
using upon WICK_OLD("upon<EVENT, shape<...>>") = detail::checked<made3::upon<EVENT, SHAPE>>;
template <class EVENT, int MS>
using since WICK_OLD("since<EVENT, over<...>>") = detail::checked<made3::since<EVENT, MS>>;
template <class W, int MIL>
using past WICK_OLD("past<W, pct<...>>") = detail::checked<made3::past<W, MIL>>;
template <class W, class CURVE>
using ease WICK_OLD("ease<W, CURVE>") = detail::checked<made::ease<W, CURVE>>;
template <class W, int UP_MS, int DOWN_MS>
using slew WICK_OLD("slew<W, up<...>, down<...>>") = detail::checked<made3::slew<W, UP_MS, DOWN_MS>>;
template <int MS>
using burst WICK_OLD("shape<burst<...>>") = detail::checked<made3::pulse<engine::Form::BURST, MS, 0>>;

using wick::saw;
using wick::sine;
using wick::square;
using wick::triangle;

}  // namespace v3
}  // namespace wick

#undef WICK_OLD
#endif
