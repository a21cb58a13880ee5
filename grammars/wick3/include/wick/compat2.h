// wick/compat2.h: what generation 2 had and generation 3 has not, deprecated: the sleeves, flip, flutter,
// dapple, roam, hark, whirl, dim. Lengths in pixels, times in ms, the defaults of generation 2 save the
// clash's, 60 ms; mixed as generation 3 mixes. rgb, bands, ramp, hearth inside them are generation 3's own.
// -DWICK_QUIET_COMPAT silences the warnings.
#ifndef WICK3_COMPAT2_H
#define WICK3_COMPAT2_H
#include "pile.h"

#ifdef WICK_QUIET_COMPAT
#define WICK_COMPAT(TEXT)
#else
#define WICK_COMPAT(TEXT) [[deprecated("wick: of generation 2; " TEXT)]]
#endif

#define WICK_NEED_IN(T, WHERE)                                                                             \
  WICK_NEED((!::wick::detail::is<::wick::detail::style, T>::value),                                       \
            WHERE ": IN cannot be a style: a pile and a power_sleeve are outermost");                     \
  WICK_NEED((std::is_same<::wick::detail::none, T>::value || ::wick::detail::is<::wick::detail::paint, T>::value || \
             ::wick::detail::is<::wick::detail::sleeve, T>::value ||                                          \
             ::wick::detail::is<::wick::detail::style, T>::value),                                            \
            WHERE ": IN must be a paint or a sleeve")

namespace wick {
namespace detail {

// ---- signals of generation 2's paints --------------------------------------------------------------

// A hump `PX` wide that jumps to a random place every 20 ms.
template <int PX>
class roam_signal : public signal {
 public:
  explicit roam_signal(bench& b) : number_(b.number()) {}
  void row(const bench& b, double* w) {
    noise_row(b, number_, 50, whole, false, w);
    near_row(b, b.px, b.n, PX, w);
  }

 private:
  std::uint64_t number_;
};

template <int PCT>
class percent_signal : public signal {
 public:
  explicit percent_signal(bench&) {}
  void row(const bench& b, double* w) { fill(b, w, PCT / 100.0); }
};

// ---- weights of its sleeves ------------------------------------------------------------------------

// 1 on the last `length` pixels.
WICK_SHARED void tail_row(const bench& b, double length, double level, double* w) {
  for (int i = 0; i < b.n; ++i) w[i] = length > 0 && b.px[i] >= b.n - length ? level : 0.0;
}

// A chosen period of 0 would divide by zero where it is not used.
constexpr int some(int period) { return period > 0 ? period : 1; }

template <int MS>
struct clash_weight {
  static void row(const bench& b, double* w) { fill(b, w, envelope<ev::clash, burst<MS>>(b)); }
};
template <int PX, int MS>
struct blast_weight {
  static void row(const bench& b, double* w) {
    spot_row(b, stage::BLAST, envelope<ev::blast, hit<0, MS>>(b), b.px, b.n, PX, w);
  }
};
template <int MS>
struct glare_weight {
  static void row(const bench& b, double* w) {
    const double half = MS == 0 ? 1.0 : square::at(turn(b.t, micros(some(MS)), 0.0));
    fill(b, w, half * envelope<ev::lock, held<0, 0>>(b));
  }
};
template <int PX>
struct lock_weight {
  static void row(const bench& b, double* w) {
    spot_row(b, stage::LOCK, envelope<ev::lock, held<0, 0>>(b), b.px, b.n, 3.0 * PX, w);
  }
};
template <class EVENT, int PX>
struct tail_weight {
  static void row(const bench& b, double* w) { tail_row(b, PX, envelope<EVENT, held<0, 0>>(b), w); }
};
template <int PX>
struct collar_weight {
  static void row(const bench& b, double* w) { hilt_row(b, b.px, PX, w); }
};
template <int PX>
struct edge_weight {
  static void row(const bench& b, double* w) { edge_row(b, b.px, b.n, PX, w); }
};

// A paint or sleeve, and a paint laid over it by WEIGHT.
template <class WEIGHT, class IN, class P>
class sleeved : public sleeve {
 public:
  explicit sleeved(bench& b) : in_(b), p_(b), over_(b.lights()), weight_(b.weights()) {}
  void row(const bench& b, light* out) {
    in_.row(b, out);
    p_.row(b, over_);
    WEIGHT::row(b, weight_);
    mix_row(b, out, over_, weight_);
  }

 private:
  IN in_;
  P p_;
  light* over_;
  double* weight_;
};

}  // namespace detail

// ---- paints ------------------------------------------------------------------------------------------

template <class A = detail::none, class B = detail::none, int MS = detail::NO, int... MORE>
class WICK_COMPAT("use blend<A, B, lfo<square, MS>>") flip
    : public detail::mixture<A, B, lfo<square, detail::some(MS)>> {
  WICK_NEED(MS != detail::NO && sizeof...(MORE) == 0, "flip<A, B, MS> takes three arguments");
  WICK_NEED_PAINT(A, "flip<A, B, MS>: A");
  WICK_NEED_PAINT(B, "flip<A, B, MS>: B");
  WICK_NEED_RANGE(MS, 1, 65535, "flip<A, B, MS>: MS");

 public:
  explicit flip(detail::bench& b) : detail::mixture<A, B, lfo<square, detail::some(MS)>>(b) {}
};

template <class A = detail::none, class B = detail::none, int HZ = 50, int... MORE>
class WICK_COMPAT("use blend<A, B, held_noise<HZ, whole>>") flutter
    : public detail::mixture<A, B, held_noise<HZ, whole>> {
  WICK_NEED((!std::is_same<B, detail::none>::value && sizeof...(MORE) == 0),
            "flutter<A, B, HZ> takes two or three arguments");
  WICK_NEED_PAINT(A, "flutter<A, B, HZ>: A");
  WICK_NEED_PAINT(B, "flutter<A, B, HZ>: B");
  WICK_NEED_RANGE(HZ, 1, 1000, "flutter<A, B, HZ>: HZ");

 public:
  explicit flutter(detail::bench& b) : detail::mixture<A, B, held_noise<HZ, whole>>(b) {}
};

template <class A = detail::none, class B = detail::none, int HZ = 50, int... MORE>
class WICK_COMPAT("use blend<A, B, held_noise<HZ, each>>") dapple : public detail::mixture<A, B, held_noise<HZ, each>> {
  WICK_NEED((!std::is_same<B, detail::none>::value && sizeof...(MORE) == 0),
            "dapple<A, B, HZ> takes two or three arguments");
  WICK_NEED_PAINT(A, "dapple<A, B, HZ>: A");
  WICK_NEED_PAINT(B, "dapple<A, B, HZ>: B");
  WICK_NEED_RANGE(HZ, 1, 1000, "dapple<A, B, HZ>: HZ");

 public:
  explicit dapple(detail::bench& b) : detail::mixture<A, B, held_noise<HZ, each>>(b) {}
};

template <class A = detail::none, class B = detail::none, int PX = detail::NO, int... MORE>
class WICK_COMPAT("use blend<A, B, near<held_noise<50, whole>, MIL>>") roam
    : public detail::mixture<A, B, detail::roam_signal<PX>> {
  WICK_NEED(PX != detail::NO && sizeof...(MORE) == 0, "roam<A, B, PX> takes three arguments");
  WICK_NEED_PAINT(A, "roam<A, B, PX>: A");
  WICK_NEED_PAINT(B, "roam<A, B, PX>: B");
  WICK_NEED_RANGE(PX, 0, 65535, "roam<A, B, PX>: PX");

 public:
  explicit roam(detail::bench& b) : detail::mixture<A, B, detail::roam_signal<PX>>(b) {}
};

template <class A = detail::none, class B = detail::none, class... MORE>
class WICK_COMPAT("use blend<A, B, sound<>>") hark : public detail::mixture<A, B, sound<>> {
  WICK_NEED((!std::is_same<B, detail::none>::value && sizeof...(MORE) == 0), "hark<A, B> takes two arguments");
  WICK_NEED_PAINT(A, "hark<A, B>: A");
  WICK_NEED_PAINT(B, "hark<A, B>: B");

 public:
  explicit hark(detail::bench& b) : detail::mixture<A, B, sound<>>(b) {}
};

template <class A = detail::none, class B = detail::none, int DPS = 450, int... MORE>
class WICK_COMPAT("use blend<A, B, swing<DPS>>") whirl : public detail::mixture<A, B, swing<detail::some(DPS)>> {
  WICK_NEED((!std::is_same<B, detail::none>::value && sizeof...(MORE) == 0),
            "whirl<A, B, DPS> takes two or three arguments");
  WICK_NEED_PAINT(A, "whirl<A, B, DPS>: A");
  WICK_NEED_PAINT(B, "whirl<A, B, DPS>: B");
  WICK_NEED_RANGE(DPS, 1, 65535, "whirl<A, B, DPS>: DPS");

 public:
  explicit whirl(detail::bench& b) : detail::mixture<A, B, swing<detail::some(DPS)>>(b) {}
};

template <class A = detail::none, int PCT = detail::NO, int... MORE>
class WICK_COMPAT("use shade<A, k<MIL>>") dim : public detail::paint {
  WICK_NEED(PCT != detail::NO && sizeof...(MORE) == 0, "dim<A, PCT> takes two arguments");
  WICK_NEED_PAINT(A, "dim<A, PCT>: A");
  WICK_NEED_RANGE(PCT, 0, 100, "dim<A, PCT>: PCT");

 public:
  explicit dim(detail::bench& b) : inner_(b) {}
  void row(const detail::bench& b, detail::light* out) { inner_.row(b, out); }

 private:
  shade<A, detail::percent_signal<PCT>> inner_;
};

// ---- sleeves -----------------------------------------------------------------------------------------

// C over the whole blade for MS, hard.
template <class IN = detail::none, class C = detail::none, int MS = 60, int... MORE>
class WICK_COMPAT("use on<ev::clash, C, burst<MS>>") clash_sleeve
    : public detail::sleeved<detail::clash_weight<MS>, IN, C> {
  WICK_NEED((!std::is_same<C, detail::none>::value && sizeof...(MORE) == 0),
            "clash_sleeve<IN, C, MS> takes two or three arguments");
  WICK_NEED_IN(IN, "clash_sleeve<IN, C, MS>");
  WICK_NEED_PAINT(C, "clash_sleeve<IN, C, MS>: C");
  WICK_NEED_RANGE(MS, 0, 65535, "clash_sleeve<IN, C, MS>: MS");

 public:
  explicit clash_sleeve(detail::bench& b) : detail::sleeved<detail::clash_weight<MS>, IN, C>(b) {}
};

// A raised cosine PX wide at the place, fading linearly over MS.
template <class IN = detail::none, class C = detail::none, int PX = 9, int MS = 300, int... MORE>
class WICK_COMPAT("use spot<ev::blast, C, MIL, hit<0, MS>>") blast_sleeve
    : public detail::sleeved<detail::blast_weight<PX, MS>, IN, C> {
  WICK_NEED((!std::is_same<C, detail::none>::value && sizeof...(MORE) == 0),
            "blast_sleeve<IN, C, PX, MS> takes two to four arguments");
  WICK_NEED_IN(IN, "blast_sleeve<IN, C, PX, MS>");
  WICK_NEED_PAINT(C, "blast_sleeve<IN, C, PX, MS>: C");
  WICK_NEED_RANGE(PX, 0, 65535, "blast_sleeve<IN, C, PX, MS>: PX");
  WICK_NEED_RANGE(MS, 0, 65535, "blast_sleeve<IN, C, PX, MS>: MS");

 public:
  explicit blast_sleeve(detail::bench& b) : detail::sleeved<detail::blast_weight<PX, MS>, IN, C>(b) {}
};

// P over the whole blade while locked; with MS, only in the second half of every MS.
template <class IN = detail::none, class P = detail::none, int MS = 0, int... MORE>
class WICK_COMPAT("use on<ev::lock, P, held<0, 0>>, or a veil") glare_sleeve
    : public detail::sleeved<detail::glare_weight<MS>, IN, P> {
  WICK_NEED((!std::is_same<P, detail::none>::value && sizeof...(MORE) == 0),
            "glare_sleeve<IN, P, MS> takes two or three arguments");
  WICK_NEED_IN(IN, "glare_sleeve<IN, P, MS>");
  WICK_NEED_PAINT(P, "glare_sleeve<IN, P, MS>: P");
  WICK_NEED_RANGE(MS, 0, 65535, "glare_sleeve<IN, P, MS>: MS");

 public:
  explicit glare_sleeve(detail::bench& b) : detail::sleeved<detail::glare_weight<MS>, IN, P>(b) {}
};

namespace detail {
template <class IN, class LOCK, class DRAG, int PX>
using lock_and_drag = sleeved<tail_weight<ev::drag, PX>, sleeved<lock_weight<PX>, IN, LOCK>, DRAG>;
}  // namespace detail

// LOCK in a raised cosine 3 PX wide at the place while locked; DRAG on the last PX, hard, while dragging.
template <class IN = detail::none, class LOCK = detail::none, class DRAG = LOCK, int PX = 12, int... MORE>
class WICK_COMPAT("use spot<ev::lock, ...> and a veil") lock_sleeve
    : public detail::lock_and_drag<IN, LOCK, DRAG, PX> {
  WICK_NEED((!std::is_same<LOCK, detail::none>::value && sizeof...(MORE) == 0),
            "lock_sleeve<IN, LOCK, DRAG, PX> takes two to four arguments");
  WICK_NEED_IN(IN, "lock_sleeve<IN, LOCK, DRAG, PX>");
  WICK_NEED_PAINT(LOCK, "lock_sleeve<IN, LOCK, DRAG, PX>: LOCK");
  WICK_NEED_PAINT(DRAG, "lock_sleeve<IN, LOCK, DRAG, PX>: DRAG");
  WICK_NEED_RANGE(PX, 0, 65535, "lock_sleeve<IN, LOCK, DRAG, PX>: PX");

 public:
  explicit lock_sleeve(detail::bench& b) : detail::lock_and_drag<IN, LOCK, DRAG, PX>(b) {}
};

namespace detail {
// A at N - PX to B at the tip.
template <int PX>
class melt_signal : public signal {
 public:
  explicit melt_signal(bench&) {}
  void row(const bench& b, double* w) { tip_row(b, b.px, b.n, PX, w); }
};
}  // namespace detail

// While melting, a ramp A to B on the last PX, hard.
template <class IN = detail::none, class A = detail::none, class B = detail::none, int PX = detail::NO, int... MORE>
class WICK_COMPAT("use a veil of blend<A, B, tip<MIL>>") melt_sleeve
    : public detail::sleeved<detail::tail_weight<ev::melt, PX>, IN, detail::mixture<A, B, detail::melt_signal<PX>>> {
  typedef detail::sleeved<detail::tail_weight<ev::melt, PX>, IN, detail::mixture<A, B, detail::melt_signal<PX>>> base;
  WICK_NEED(PX != detail::NO && sizeof...(MORE) == 0, "melt_sleeve<IN, A, B, PX> takes four arguments");
  WICK_NEED_IN(IN, "melt_sleeve<IN, A, B, PX>");
  WICK_NEED_PAINT(A, "melt_sleeve<IN, A, B, PX>: A");
  WICK_NEED_PAINT(B, "melt_sleeve<IN, A, B, PX>: B");
  WICK_NEED_RANGE(PX, 0, 65535, "melt_sleeve<IN, A, B, PX>: PX");

 public:
  explicit melt_sleeve(detail::bench& b) : base(b) {}
};

// The hilt flare: linearly from C into IN over the first PX.
template <class IN = detail::none, class C = detail::none, int PX = detail::NO, int... MORE>
class WICK_COMPAT("use veil<C, hilt<MIL>>") collar_sleeve
    : public detail::sleeved<detail::collar_weight<PX>, IN, C> {
  WICK_NEED(PX != detail::NO && sizeof...(MORE) == 0, "collar_sleeve<IN, C, PX> takes three arguments");
  WICK_NEED_IN(IN, "collar_sleeve<IN, C, PX>");
  WICK_NEED_PAINT(C, "collar_sleeve<IN, C, PX>: C");
  WICK_NEED_RANGE(PX, 0, 65535, "collar_sleeve<IN, C, PX>: PX");

 public:
  explicit collar_sleeve(detail::bench& b) : detail::sleeved<detail::collar_weight<PX>, IN, C>(b) {}
};

// A hard band PX wide on the moving edge of ignition and retraction.
template <class IN = detail::none, class C = detail::none, int PX = detail::NO, int... MORE>
class WICK_COMPAT("use edge<C, MIL>") edge_sleeve : public detail::sleeved<detail::edge_weight<PX>, IN, C> {
  WICK_NEED(PX != detail::NO && sizeof...(MORE) == 0, "edge_sleeve<IN, C, PX> takes three arguments");
  WICK_NEED_IN(IN, "edge_sleeve<IN, C, PX>");
  WICK_NEED_PAINT(C, "edge_sleeve<IN, C, PX>: C");
  WICK_NEED_RANGE(PX, 0, 65535, "edge_sleeve<IN, C, PX>: PX");

 public:
  explicit edge_sleeve(detail::bench& b) : detail::sleeved<detail::edge_weight<PX>, IN, C>(b) {}
};

// A hard wipe from the hilt, dark outside it; a style of its own, outermost.
template <class IN = detail::none, int UP_MS = detail::NO, int DOWN_MS = detail::NO, int... MORE>
class WICK_COMPAT("use power<wipe<UP_MS>, wipe<DOWN_MS>>") power_sleeve : public detail::style {
  WICK_NEED(DOWN_MS != detail::NO && sizeof...(MORE) == 0, "power_sleeve<IN, UP_MS, DOWN_MS> takes three arguments");
  WICK_NEED_IN(IN, "power_sleeve<IN, UP_MS, DOWN_MS>");
  WICK_NEED_RANGE(UP_MS, 0, 65535, "power_sleeve<IN, UP_MS, DOWN_MS>: UP_MS");
  WICK_NEED_RANGE(DOWN_MS, 0, 65535, "power_sleeve<IN, UP_MS, DOWN_MS>: DOWN_MS");

 public:
  explicit power_sleeve(detail::bench& b) : in_(b), play_(b) {}
  void begin(detail::bench& b) { play_.begin(b); }
  void row(const detail::bench& b, detail::light* out) {
    in_.row(b, out);
    play_.lay(b, out);
  }

 private:
  IN in_;
  detail::power_play<wipe<UP_MS>, wipe<DOWN_MS>> play_;
};

}  // namespace wick
#endif
