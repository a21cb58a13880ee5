// wick2_paints.h: the paints of wick 2; included by wick2.h. Every construct is an alias of a class that checks its
// arguments where it is named (`self` makes the compiler complete it) and draws whole rows.
#ifndef WICK2_PAINTS_H
#define WICK2_PAINTS_H

namespace wick2_kit {

using wick_eight::Bench;
using wick_eight::Frame;
using wick_eight::to_k;
using wick_eight::u_of;
using Number = long long;

struct paint_tag {};
struct sleeve_tag {};
struct power_tag {};

template <class T>
constexpr bool is_paint() { return wick_eight::is<paint_tag, T>::yes; }
template <class T>
constexpr bool is_inner() { return is_paint<T>() || wick_eight::is<sleeve_tag, T>::yes; }
template <class T>
constexpr bool is_style() { return is_inner<T>() || wick_eight::is<power_tag, T>::yes; }
constexpr bool within(Number value, Number least, Number most) { return least <= value && value <= most; }

inline unsigned char mix(int a, int b, int k) {
  return static_cast<unsigned char>((a * (255 - k) + b * k + 127) / 255);
}
inline void mix_pixel(unsigned char* row, const unsigned char* b, int i, int k) {
  for (int c = 3 * i; c < 3 * i + 3; ++c) row[c] = mix(row[c], b[c], k);
}
WICK_SHARED void mix_row(unsigned char* row, const unsigned char* b, int n, int k) {
  for (int i = 0; i < n; ++i) mix_pixel(row, b, i, k);
}

// ---- what the paints and the sleeves do to a row ----
inline int random_k(const Frame& f, uint64_t number, Number hz, int cell) {
  return int(stage::noise_word(number, wick_eight::step_of(f.t, hz), uint64_t(cell)) >> 56);
}
WICK_SHARED void mix_dapple(const Frame& f, unsigned char* row, const unsigned char* b, uint64_t number, Number hz) {
  for (int i = 0; i < f.n; ++i) mix_pixel(row, b, i, random_k(f, number, hz, i));
}
WICK_SHARED void mix_fire(const Frame& f, unsigned char* row, const unsigned char* b, uint64_t number, double px) {
  for (int i = 0; i < f.n; ++i) mix_pixel(row, b, i, to_k(wick_eight::fire(number, u_of(i), f.s, px, 12.0)));
}
// A raised cosine `px` wide at `place`, 0 to 1; its weight times `level` is rounded once.
WICK_SHARED void mix_spot(const Frame& f, unsigned char* row, const unsigned char* b, double place, double px,
                          double level) {
  for (int i = 0; i < f.n; ++i) mix_pixel(row, b, i, to_k(wick_eight::near(u_of(i), place * f.n, px) * level));
}
WICK_SHARED void mix_hilt(const Frame& f, unsigned char* row, const unsigned char* b, double px) {
  for (int i = 0; i < f.n; ++i) mix_pixel(row, b, i, to_k(wick_eight::hilt(u_of(i), px)));
}
WICK_SHARED void mix_tip(const Frame& f, unsigned char* row, const unsigned char* b, double px) {
  for (int i = 0; i < f.n; ++i) mix_pixel(row, b, i, to_k(wick_eight::tip(u_of(i), f.n, px)));
}
WICK_SHARED void copy_tail(const Frame& f, unsigned char* row, const unsigned char* b, double px) {
  for (int i = 0; i < f.n; ++i)
    if (wick_eight::tail(u_of(i), f.n, px)) wick_eight::copy_pixel(row, b, i);
}
// The band `px` wide that ends at the moving edge.
WICK_SHARED void copy_edge(const Frame& f, unsigned char* row, const unsigned char* b, double px) {
  for (int i = 0; i < f.n; ++i)
    if (wick_eight::x_of(i, f.n) < f.q && u_of(i) >= f.q * f.n - px) wick_eight::copy_pixel(row, b, i);
}
WICK_SHARED void dim_row(unsigned char* row, int n, int pct) {
  for (int c = 0; c < 3 * n; ++c) row[c] = static_cast<unsigned char>((row[c] * pct + 50) / 100);
}
WICK_SHARED void pick_bands(const Frame& f, unsigned char* row, const unsigned char* rows, int count, double px,
                            double pxs) {
  for (int i = 0; i < f.n; ++i)
    wick_eight::copy_pixel(row, rows + 3 * f.n * wick_eight::band_of(u_of(i), f.s, px, pxs, count), i);
}

WICK_SHARED void mix_stops(const Frame& f, unsigned char* row, const unsigned char* rows, int count) {
  for (int i = 0; i < f.n; ++i) {
    const double p = wick_eight::x_of(i, f.n) * (count - 1);
    int j = int(floor(p));
    if (j > count - 2) j = count - 2;
    if (j < 0) j = 0;
    wick_eight::copy_pixel(row, rows + 3 * f.n * j, i);
    if (count > 1) mix_pixel(row, rows + 3 * f.n * (j + 1), i, to_k(p - j));
  }
}

// ---- what the paints are made of ----

// Two paints, of which the second waits in a row of its own.
template <class A, class B>
struct Pair : paint_tag {
  static_assert(is_paint<A>(), "argument A must be a paint (a wick 1 paint stands in from_tape<...>)");
  static_assert(is_paint<B>(), "argument B must be a paint (a wick 1 paint stands in from_tape<...>)");
  explicit Pair(Bench& bench) : a(bench), b(bench), other(bench.rows(1)) {}
  void draw_both(const Frame& f, unsigned char* row) {
    a.draw(f, row);
    b.draw(f, other);
  }
  void draw_mixed(const Frame& f, unsigned char* row, int k) {
    draw_both(f, row);
    mix_row(row, other, f.n, k);
  }
  A a;
  B b;
  unsigned char* other;
};

// Any number of paints, each in a row of its own.
template <class... P>
struct Several {
  explicit Several(Bench&) {}
  void draw(const Frame&, unsigned char*) {}
};
template <class P, class... REST>
struct Several<P, REST...> {
  static_assert(is_paint<P>(), "every one of the paints must be a paint (a wick 1 paint stands in from_tape<...>)");
  explicit Several(Bench& bench) : first(bench), rest(bench) {}
  void draw(const Frame& f, unsigned char* rows) {
    first.draw(f, rows);
    rest.draw(f, rows + 3 * f.n);
  }
  P first;
  Several<REST...> rest;
};

// ---- the paints ----

template <Number R, Number G, Number B>
struct rgb_ : paint_tag {
  static_assert(within(R, 0, 255), "rgb: R must be 0 to 255");
  static_assert(within(G, 0, 255), "rgb: G must be 0 to 255");
  static_assert(within(B, 0, 255), "rgb: B must be 0 to 255");
  using self = rgb_;
  explicit rgb_(Bench&) {}
  void draw(const Frame& f, unsigned char* row) { wick_eight::fill(row, f.n, int(R), int(G), int(B)); }
};

template <class PAINT>
struct from_tape_ : paint_tag {
  static_assert(wick1_kit::is_paint<PAINT>::yes, "from_tape: PAINT must be a wick 1 paint, tape1::...");
  using self = from_tape_;
  explicit from_tape_(Bench& bench) : paint(bench) {}
  void draw(const Frame& f, unsigned char* row) { paint.draw(f.ticked(), row); }
  PAINT paint;
};

template <class A, class B, Number MS>
struct sway_ : Pair<A, B> {
  static_assert(within(MS, 1, 65535), "sway: MS must be 1 to 65535");
  using self = sway_;
  using Pair<A, B>::Pair;
  void draw(const Frame& f, unsigned char* row) {
    this->draw_mixed(f, row, to_k(wick_eight::sine(f.t, MS * wick_eight::MILLISECOND)));
  }
};

template <class A, class B, Number MS>
struct flip_ : Pair<A, B> {
  static_assert(within(MS, 1, 65535), "flip: MS must be 1 to 65535");
  using self = flip_;
  using Pair<A, B>::Pair;
  void draw(const Frame& f, unsigned char* row) {
    if (wick_eight::square(f.t, MS * wick_eight::MILLISECOND)) this->b.draw(f, row);
    else this->a.draw(f, row);
  }
};

// A pair with a noise of its own, numbered after those of its paints.
template <class A, class B>
struct Noisy : Pair<A, B> {
  explicit Noisy(Bench& bench) : Pair<A, B>(bench), number(bench.number()) {}
  uint64_t number;
};

template <class A, class B, Number HZ>
struct flutter_ : Noisy<A, B> {
  static_assert(within(HZ, 1, 1000), "flutter: HZ must be 1 to 1000");
  using self = flutter_;
  using Noisy<A, B>::Noisy;
  void draw(const Frame& f, unsigned char* row) { this->draw_mixed(f, row, random_k(f, this->number, HZ, 0)); }
};

template <class A, class B, Number HZ>
struct dapple_ : Noisy<A, B> {
  static_assert(within(HZ, 1, 1000), "dapple: HZ must be 1 to 1000");
  using self = dapple_;
  using Noisy<A, B>::Noisy;
  void draw(const Frame& f, unsigned char* row) {
    this->draw_both(f, row);
    mix_dapple(f, row, this->other, this->number, HZ);
  }
};

template <class A, class B, Number PX>
struct roam_ : Noisy<A, B> {
  static_assert(within(PX, 0, 65535), "roam: PX must be 0 to 65535");
  using self = roam_;
  using Noisy<A, B>::Noisy;
  void draw(const Frame& f, unsigned char* row) {
    this->draw_both(f, row);
    mix_spot(f, row, this->other, stage::noise(this->number, wick_eight::step_of(f.t, 50), 0), PX, 1.0);
  }
};

template <Number PX, Number PXS, class... P>
struct bands_ : paint_tag {
  static_assert(within(PX, 1, 65535), "bands: PX must be 1 to 65535");
  static_assert(within(PXS, -32768, 32767), "bands: PXS must be -32768 to 32767");
  static_assert(sizeof...(P) > 0, "bands: at least one paint must follow PX and PXS");
  using self = bands_;
  explicit bands_(Bench& bench) : paints(bench), rows(bench.rows(sizeof...(P))) {}
  void draw(const Frame& f, unsigned char* row) {
    paints.draw(f, rows);
    pick_bands(f, row, rows, int(sizeof...(P)), PX, PXS);
  }
  Several<P...> paints;
  unsigned char* rows;
};

template <class... P>
struct ramp_ : paint_tag {
  static_assert(sizeof...(P) > 0, "ramp: there must be at least one paint");
  using self = ramp_;
  explicit ramp_(Bench& bench) : paints(bench), rows(bench.rows(sizeof...(P))) {}
  void draw(const Frame& f, unsigned char* row) {
    paints.draw(f, rows);
    mix_stops(f, row, rows, int(sizeof...(P)));
  }
  Several<P...> paints;
  unsigned char* rows;
};

template <class A, class B, Number PX>
struct hearth_ : Noisy<A, B> {
  static_assert(within(PX, 1, 65535), "hearth: PX must be 1 to 65535");
  using self = hearth_;
  using Noisy<A, B>::Noisy;
  void draw(const Frame& f, unsigned char* row) {
    this->draw_both(f, row);
    mix_fire(f, row, this->other, this->number, PX);
  }
};

template <class A, class B>
struct hark_ : Pair<A, B> {
  using self = hark_;
  using Pair<A, B>::Pair;
  void draw(const Frame& f, unsigned char* row) { this->draw_mixed(f, row, to_k(wick_eight::sound(f))); }
};

template <class A, class B, Number DPS>
struct whirl_ : Pair<A, B> {
  static_assert(within(DPS, 0, 65535), "whirl: DPS must be 0 to 65535");
  using self = whirl_;
  using Pair<A, B>::Pair;
  void draw(const Frame& f, unsigned char* row) { this->draw_mixed(f, row, to_k(wick_eight::swing(f, DPS))); }
};

template <class A, Number PCT>
struct dim_ : paint_tag {
  static_assert(is_paint<A>(), "dim: A must be a paint (a wick 1 paint stands in from_tape<...>)");
  static_assert(within(PCT, 0, 100), "dim: PCT must be 0 to 100");
  using self = dim_;
  explicit dim_(Bench& bench) : a(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    a.draw(f, row);
    dim_row(row, f.n, int(PCT));
  }
  A a;
};

}  // namespace wick2_kit

template <long long R, long long G, long long B>
using rgb = typename wick2_kit::rgb_<R, G, B>::self;
template <class PAINT>
using from_tape = typename wick2_kit::from_tape_<PAINT>::self;
template <class A, class B, long long MS>
using sway = typename wick2_kit::sway_<A, B, MS>::self;
template <class A, class B, long long MS>
using flip = typename wick2_kit::flip_<A, B, MS>::self;
template <class A, class B, long long HZ = 50>
using flutter = typename wick2_kit::flutter_<A, B, HZ>::self;
template <class A, class B, long long HZ = 50>
using dapple = typename wick2_kit::dapple_<A, B, HZ>::self;
template <class A, class B, long long PX>
using roam = typename wick2_kit::roam_<A, B, PX>::self;
template <long long PX, long long PXS, class... PAINTS>
using bands = typename wick2_kit::bands_<PX, PXS, PAINTS...>::self;
template <class... PAINTS>
using ramp = typename wick2_kit::ramp_<PAINTS...>::self;
template <class A, class B, long long PX = 6>
using hearth = typename wick2_kit::hearth_<A, B, PX>::self;
template <class A, class B>
using hark = typename wick2_kit::hark_<A, B>::self;
template <class A, class B, long long DPS = 450>
using whirl = typename wick2_kit::whirl_<A, B, DPS>::self;
template <class A, long long PCT>
using dim = typename wick2_kit::dim_<A, PCT>::self;
#endif
