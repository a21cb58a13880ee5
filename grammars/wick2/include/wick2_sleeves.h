// wick2_sleeves.h: the sleeves of wick 2; included by wick2.h. A sleeve draws what it holds, then lays its own on it.
#ifndef WICK2_SLEEVES_H
#define WICK2_SLEEVES_H

namespace wick2_kit {

// What a sleeve holds.
template <class IN>
struct Sleeve : sleeve_tag {
  static_assert(!wick_eight::is<power_tag, IN>::yes, "IN must not be a power_sleeve: the power stands outermost");
  static_assert(is_inner<IN>() || wick_eight::is<power_tag, IN>::yes, "IN must be a paint or a sleeve of wick 2");
  explicit Sleeve(Bench& bench) : in(bench) {}
  IN in;
};

// A sleeve with a paint of its own, drawn in a row of its own when it shows.
template <class IN, class C>
struct Painted : Sleeve<IN> {
  static_assert(is_paint<C>(), "the paint of a sleeve must be a paint (a wick 1 paint stands in from_tape<...>)");
  explicit Painted(Bench& bench) : Sleeve<IN>(bench), c(bench), over(bench.rows(1)) {}
  C c;
  unsigned char* over;
};

template <class IN, class C, Number MS>
struct clash_sleeve_ : Painted<IN, C> {
  static_assert(within(MS, 0, 65535), "clash_sleeve: MS must be 0 to 65535");
  using self = clash_sleeve_;
  using Painted<IN, C>::Painted;
  void draw(const Frame& f, unsigned char* row) {
    if (wick_eight::burst(f, stage::CLASH, MS * wick_eight::MILLISECOND)) this->c.draw(f, row);
    else this->in.draw(f, row);
  }
};

template <class IN, class C, Number PX, Number MS>
struct blast_sleeve_ : Painted<IN, C> {
  static_assert(within(PX, 0, 65535), "blast_sleeve: PX must be 0 to 65535");
  static_assert(within(MS, 0, 65535), "blast_sleeve: MS must be 0 to 65535");
  using self = blast_sleeve_;
  using Painted<IN, C>::Painted;
  void draw(const Frame& f, unsigned char* row) {
    this->in.draw(f, row);
    const stage::Occurrence* o = wick_eight::latest(f, stage::BLAST);
    const double level = o ? wick_eight::fading(f, *o, MS * wick_eight::MILLISECOND) : 0.0;
    if (!(level > 0.0)) return;
    this->c.draw(f, this->over);
    mix_spot(f, row, this->over, o->place, PX, level);
  }
};

template <class IN, class P, Number MS>
struct glare_sleeve_ : Painted<IN, P> {
  static_assert(within(MS, 0, 65535), "glare_sleeve: MS must be 0 to 65535");
  using self = glare_sleeve_;
  using Painted<IN, P>::Painted;
  void draw(const Frame& f, unsigned char* row) {
    const bool turn = MS == 0 || wick_eight::square(f.t, (MS ? MS : 1) * wick_eight::MILLISECOND);
    if (turn && wick_eight::active(f, stage::LOCK)) this->c.draw(f, row);
    else this->in.draw(f, row);
  }
};

template <class IN, class LOCK, class DRAG, Number PX>
struct lock_sleeve_ : Painted<IN, LOCK> {
  static_assert(is_paint<DRAG>(), "lock_sleeve: DRAG must be a paint (a wick 1 paint stands in from_tape<...>)");
  static_assert(within(PX, 0, 65535), "lock_sleeve: PX must be 0 to 65535");
  using self = lock_sleeve_;
  explicit lock_sleeve_(Bench& bench) : Painted<IN, LOCK>(bench), drag(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    this->in.draw(f, row);
    if (const stage::Occurrence* o = wick_eight::active(f, stage::LOCK)) {
      this->c.draw(f, this->over);
      mix_spot(f, row, this->over, o->place, 3.0 * PX, 1.0);
    }
    if (wick_eight::active(f, stage::DRAG)) {
      drag.draw(f, this->over);
      copy_tail(f, row, this->over, PX);
    }
  }
  DRAG drag;
};

template <class IN, class A, class B, Number PX>
struct melt_sleeve_ : Painted<IN, A> {
  static_assert(is_paint<B>(), "melt_sleeve: B must be a paint (a wick 1 paint stands in from_tape<...>)");
  static_assert(within(PX, 0, 65535), "melt_sleeve: PX must be 0 to 65535");
  using self = melt_sleeve_;
  explicit melt_sleeve_(Bench& bench) : Painted<IN, A>(bench), b(bench), hot(bench.rows(1)) {}
  void draw(const Frame& f, unsigned char* row) {
    this->in.draw(f, row);
    if (!wick_eight::active(f, stage::MELT)) return;
    this->c.draw(f, this->over);
    b.draw(f, hot);
    mix_tip(f, this->over, hot, PX);
    copy_tail(f, row, this->over, PX);
  }
  B b;
  unsigned char* hot;
};

template <class IN, class C, Number PX>
struct collar_sleeve_ : Painted<IN, C> {
  static_assert(within(PX, 0, 65535), "collar_sleeve: PX must be 0 to 65535");
  using self = collar_sleeve_;
  using Painted<IN, C>::Painted;
  void draw(const Frame& f, unsigned char* row) {
    this->in.draw(f, row);
    this->c.draw(f, this->over);
    mix_hilt(f, row, this->over, PX);
  }
};

template <class IN, class C, Number PX>
struct edge_sleeve_ : Painted<IN, C> {
  static_assert(within(PX, 0, 65535), "edge_sleeve: PX must be 0 to 65535");
  using self = edge_sleeve_;
  using Painted<IN, C>::Painted;
  void draw(const Frame& f, unsigned char* row) {
    this->in.draw(f, row);
    if (PX == 0 || !(f.q > 0.0 && f.q < 1.0)) return;
    this->c.draw(f, this->over);
    copy_edge(f, row, this->over, PX);
  }
};

template <class IN, Number UP_MS, Number DOWN_MS>
struct power_sleeve_ : power_tag {
  static_assert(!wick_eight::is<power_tag, IN>::yes, "IN must not be a power_sleeve: the power stands outermost");
  static_assert(is_style<IN>(), "power_sleeve: IN must be a paint or a sleeve of wick 2");
  static_assert(within(UP_MS, 0, 65535), "power_sleeve: UP_MS must be 0 to 65535");
  static_assert(within(DOWN_MS, 0, 65535), "power_sleeve: DOWN_MS must be 0 to 65535");
  using self = power_sleeve_;
  explicit power_sleeve_(Bench& bench) : in(bench) {}
  void draw(const Frame& f, unsigned char* row) {
    const double q = wick_eight::progress(f, UP_MS * wick_eight::MILLISECOND, DOWN_MS * wick_eight::MILLISECOND);
    in.draw(f.powered(q), row);
    wick_eight::wipe(row, f.n, q);
  }
  IN in;
};

}  // namespace wick2_kit

template <class IN, class C, long long MS = 80>
using clash_sleeve = typename wick2_kit::clash_sleeve_<IN, C, MS>::self;
template <class IN, class C, long long PX = 9, long long MS = 300>
using blast_sleeve = typename wick2_kit::blast_sleeve_<IN, C, PX, MS>::self;
template <class IN, class P, long long MS = 0>
using glare_sleeve = typename wick2_kit::glare_sleeve_<IN, P, MS>::self;
template <class IN, class LOCK, class DRAG = LOCK, long long PX = 12>
using lock_sleeve = typename wick2_kit::lock_sleeve_<IN, LOCK, DRAG, PX>::self;
template <class IN, class A, class B, long long PX>
using melt_sleeve = typename wick2_kit::melt_sleeve_<IN, A, B, PX>::self;
template <class IN, class C, long long PX>
using collar_sleeve = typename wick2_kit::collar_sleeve_<IN, C, PX>::self;
template <class IN, class C, long long PX>
using edge_sleeve = typename wick2_kit::edge_sleeve_<IN, C, PX>::self;
template <class IN, long long UP_MS, long long DOWN_MS>
using power_sleeve = typename wick2_kit::power_sleeve_<IN, UP_MS, DOWN_MS>::self;
#endif
