// wick1_paints.h: the paints of wick 1; included by wick1.h, and by wick2.h for from_tape<...>. C++98.
// Colours are 0xRRGGBB duties, mixing is floored: a + ((b - a) k >> 8). A paint is drawn on a frame of the 20 ms clock.
// What a generation refuses shows as the name of an incomplete type that reads as a sentence: wick1_error_...<false>.
#ifndef WICK1_PAINTS_H
#define WICK1_PAINTS_H
#include "wick_eight.h"

namespace wick1_kit {

#define WICK1_RULE(NAME)            \
  template <bool KEPT>              \
  struct wick1_error_##NAME;        \
  template <>                       \
  struct wick1_error_##NAME<true> { \
    char kept;                      \
  }
WICK1_RULE(A_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(B_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(C_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(TICKS_must_be_1_to_65535);
WICK1_RULE(ODDS_must_be_0_to_255);
WICK1_RULE(PX_must_be_1_to_65535);
WICK1_RULE(RATE_must_be_minus_32768_to_32767);
WICK1_RULE(PAINT_must_be_a_paint);

template <long VALUE, long LEAST, long MOST>
struct within {
  static const bool yes = LEAST <= VALUE && VALUE <= MOST;
};
template <long C>
struct is_colour : within<C, 0, 0xFFFFFF> {};

using wick_eight::Bench;
using wick_eight::Frame;
struct paint_tag {};

template <class T>
struct is_paint {
  static const bool yes = wick_eight::is<paint_tag, T>::yes;
};

// ---- duties ----
inline int red(long c) { return int(c >> 16 & 255); }
inline int green(long c) { return int(c >> 8 & 255); }
inline int blue(long c) { return int(c & 255); }
inline int mix(int a, int b, int k) { return a + (((b - a) * k) >> 8); }

inline void put(unsigned char* row, int i, long c) { wick_eight::set_pixel(row, i, red(c), green(c), blue(c)); }
inline void put_mix(unsigned char* row, int i, long a, long b, int k) {
  wick_eight::set_pixel(row, i, mix(red(a), red(b), k), mix(green(a), green(b), k), mix(blue(a), blue(b), k));
}
WICK_SHARED void fill(unsigned char* row, int n, long c) { wick_eight::fill(row, n, red(c), green(c), blue(c)); }
WICK_SHARED void fill_mix(unsigned char* row, int n, long a, long b, int k) {
  wick_eight::fill(row, n, mix(red(a), red(b), k), mix(green(a), green(b), k), mix(blue(a), blue(b), k));
}
// Mixes what is in pixel i toward the colour c.
WICK_SHARED void mix_in(unsigned char* row, int i, long c, int k) {
  const unsigned char* p = row + 3 * i;
  wick_eight::set_pixel(row, i, mix(p[0], red(c), k), mix(p[1], green(c), k), mix(p[2], blue(c), k));
}

// ---- what the paints do to a row ----
WICK_SHARED void put_specks(const Frame& f, unsigned char* row, long a, long b, uint64_t number, double level) {
  const uint64_t step = wick_eight::step_of(f.t, 50);
  for (int i = 0; i < f.n; ++i) put(row, i, stage::noise(number, step, uint64_t(i)) >= level ? b : a);
}
WICK_SHARED void put_bands(const Frame& f, unsigned char* row, long a, long b, double px, double pxs) {
  for (int i = 0; i < f.n; ++i) put(row, i, wick_eight::band_of(wick_eight::u_of(i), f.s, px, pxs, 2) ? b : a);
}
WICK_SHARED void put_fade(const Frame& f, unsigned char* row, long a, long b) {
  for (int i = 0; i < f.n; ++i) put_mix(row, i, a, b, wick_eight::to_k(wick_eight::x_of(i, f.n)));
}
WICK_SHARED void put_fire(const Frame& f, unsigned char* row, long a, long b, uint64_t number) {
  for (int i = 0; i < f.n; ++i)
    put_mix(row, i, a, b, wick_eight::to_k(wick_eight::fire(number, wick_eight::u_of(i), f.s, 6.0, 12.0)));
}
WICK_SHARED void mix_collar(const Frame& f, unsigned char* row, long c, double px) {
  for (int i = 0; i < f.n; ++i) mix_in(row, i, c, wick_eight::to_k(wick_eight::hilt(wick_eight::u_of(i), px)));
}

// ---- paints ----

// Two colours, and no noise.
template <long A, long B>
struct Pair : paint_tag {
  enum {
    a_is_read = sizeof(wick1_error_A_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<A>::yes>),
    b_is_read = sizeof(wick1_error_B_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<B>::yes>)
  };
  explicit Pair(Bench&) {}
};

// Two colours and a noise.
template <long A, long B>
struct Noisy : Pair<A, B> {
  explicit Noisy(Bench& bench) : Pair<A, B>(bench), number(bench.number()) {}
  uint64_t number;
};

template <long C>
struct plain : paint_tag {
  enum { c_is_read = sizeof(wick1_error_C_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<C>::yes>) };
  explicit plain(Bench&) {}
  void draw(const Frame& f, unsigned char* row) { fill(row, f.n, C); }
};

template <long A, long B, long TICKS>
struct throb : Pair<A, B> {
  enum { ticks_is_read = sizeof(wick1_error_TICKS_must_be_1_to_65535<within<TICKS, 1, 65535>::yes>) };
  explicit throb(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    fill_mix(row, f.n, A, B, wick_eight::to_k(wick_eight::triangle(f.t, TICKS * wick_eight::TICK)));
  }
};

template <long A, long B, long TICKS>
struct flip : Pair<A, B> {
  enum { ticks_is_read = sizeof(wick1_error_TICKS_must_be_1_to_65535<within<TICKS, 1, 65535>::yes>) };
  explicit flip(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    fill(row, f.n, wick_eight::square(f.t, TICKS * wick_eight::TICK) ? B : A);
  }
};

template <long A, long B>
struct jitter : Noisy<A, B> {
  explicit jitter(Bench& bench) : Noisy<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    fill_mix(row, f.n, A, B, int(stage::noise_word(this->number, wick_eight::step_of(f.t, 50), 0) >> 56));
  }
};

template <long A, long B, long ODDS>
struct speckle : Noisy<A, B> {
  enum { odds_is_read = sizeof(wick1_error_ODDS_must_be_0_to_255<within<ODDS, 0, 255>::yes>) };
  explicit speckle(Bench& bench) : Noisy<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    put_specks(f, row, A, B, this->number, 1.0 - ODDS / 255.0);
  }
};

template <long A, long B, long PX, long RATE>
struct barber : Pair<A, B> {
  enum {
    px_is_read = sizeof(wick1_error_PX_must_be_1_to_65535<within<PX, 1, 65535>::yes>),
    rate_is_read = sizeof(wick1_error_RATE_must_be_minus_32768_to_32767<within<RATE, -32768, 32767>::yes>)
  };
  explicit barber(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    put_bands(f, row, A, B, double(PX), RATE * 50.0);
  }
};

template <long A, long B>
struct fade_along : Pair<A, B> {
  explicit fade_along(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) { put_fade(f, row, A, B); }
};

template <long A, long B>
struct hearth : Noisy<A, B> {
  explicit hearth(Bench& bench) : Noisy<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) { put_fire(f, row, A, B, this->number); }
};

template <long A, long B>
struct meter : Pair<A, B> {
  explicit meter(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) { fill_mix(row, f.n, A, B, wick_eight::to_k(wick_eight::sound(f))); }
};

template <long A, long B>
struct whirl : Pair<A, B> {
  explicit whirl(Bench& bench) : Pair<A, B>(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    fill_mix(row, f.n, A, B, wick_eight::to_k(wick_eight::swing(f, 450.0)));
  }
};

template <class PAINT, long C, long PX>
struct collar : paint_tag {
  enum {
    paint_is_read = sizeof(wick1_error_PAINT_must_be_a_paint<is_paint<PAINT>::yes>),
    c_is_read = sizeof(wick1_error_C_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<C>::yes>),
    px_is_read = sizeof(wick1_error_PX_must_be_1_to_65535<within<PX, 1, 65535>::yes>)
  };
  explicit collar(Bench& bench) : paint(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    paint.draw(f, row);
    mix_collar(f, row, C, double(PX));
  }
  PAINT paint;
};

}  // namespace wick1_kit
#endif
