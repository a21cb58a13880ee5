// wick1.h: the generation of tape. C++98. A style is one record of positional slots, tape<BASE, CLASH, BLAST, LOCK,
// UP, DOWN>; everything runs on a clock of 20 ms ticks; lengths are pixels, colours packed 0xRRGGBB duties.
#ifndef WICK1_H
#define WICK1_H
#ifdef WICK2_H
#error "wick2.h brings the wick 1 paints itself, under tape1:: - do not include wick1.h beside it"
#else
#include "wick1_paints.h"

namespace wick1_kit {

WICK1_RULE(BASE_must_be_a_paint);
WICK1_RULE(CLASH_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(BLAST_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(LOCK_must_be_a_colour_0x000000_to_0xFFFFFF);
WICK1_RULE(UP_must_be_0_to_65535);
WICK1_RULE(DOWN_must_be_0_to_65535);
WICK1_RULE(tape_takes_one_to_six_slots);
WICK1_RULE(STYLE_must_be_a_tape);

struct style_tag {};

template <class T>
struct is_style {
  static const bool yes = wick_eight::is<style_tag, T>::yes;
};

// What the slots must be. `READ` of a tape is this type, so that a tape is checked where it is named.
template <class BASE, long CLASH, long BLAST, long LOCK, long UP, long DOWN>
struct Slots {
  typedef Slots read;
  enum {
    base_is_read = sizeof(wick1_error_BASE_must_be_a_paint<is_paint<BASE>::yes>),
    clash_is_read = sizeof(wick1_error_CLASH_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<CLASH>::yes>),
    blast_is_read = sizeof(wick1_error_BLAST_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<BLAST>::yes>),
    lock_is_read = sizeof(wick1_error_LOCK_must_be_a_colour_0x000000_to_0xFFFFFF<is_colour<LOCK>::yes>),
    up_is_read = sizeof(wick1_error_UP_must_be_0_to_65535<within<UP, 0, 65535>::yes>),
    down_is_read = sizeof(wick1_error_DOWN_must_be_0_to_65535<within<DOWN, 0, 65535>::yes>)
  };
};
template <class A, class B>
struct is_same {
  static const bool yes = false;
};
template <class A>
struct is_same<A, A> {
  static const bool yes = true;
};

// A raised cosine 9 px wide at the place of the latest blast, fading out over 15 ticks.
WICK_SHARED void blast(const Frame& f, unsigned char* row, long c) {
  const stage::Occurrence* o = wick_eight::latest(f, stage::BLAST);
  const double level = o ? wick_eight::fading(f, *o, 15 * wick_eight::TICK) : 0.0;
  if (!(level > 0.0)) return;
  for (int i = 0; i < f.n; ++i) {
    const double weight = wick_eight::near(wick_eight::u_of(i), o->place * f.n, 9.0) * level;
    mix_in(row, i, c, wick_eight::to_k(weight));
  }
}

}  // namespace wick1_kit

using wick1_kit::barber;
using wick1_kit::collar;
using wick1_kit::fade_along;
using wick1_kit::flip;
using wick1_kit::hearth;
using wick1_kit::jitter;
using wick1_kit::meter;
using wick1_kit::plain;
using wick1_kit::speckle;
using wick1_kit::throb;
using wick1_kit::whirl;

template <class BASE, long CLASH = 0xFFFFFF, long BLAST = 0xFFFFFF, long LOCK = 0xFFC040, long UP = 15, long DOWN = 15,
          class READ = typename wick1_kit::Slots<BASE, CLASH, BLAST, LOCK, UP, DOWN>::read>
struct tape : wick1_kit::style_tag {
  typedef wick1_kit::Slots<BASE, CLASH, BLAST, LOCK, UP, DOWN> slots;
  enum {
    count_is_read = sizeof(wick1_kit::wick1_error_tape_takes_one_to_six_slots<wick1_kit::is_same<READ, slots>::yes>)
  };

  explicit tape(wick_eight::Bench& bench) : base(bench) {}

  // From below: BASE, LOCK, BLAST, CLASH; then UP and DOWN cut all of it.
  void draw(const wick_eight::Frame& f, unsigned char* row) {
    if (wick_eight::burst(f, stage::CLASH, 4 * wick_eight::TICK)) {
      wick1_kit::fill(row, f.n, CLASH);
    } else {
      if (f.t / wick_eight::TICK % 2 == 1 && wick_eight::active(f, stage::LOCK)) wick1_kit::fill(row, f.n, LOCK);
      else base.draw(f, row);
      wick1_kit::blast(f, row, BLAST);
    }
    wick_eight::wipe(row, f.n, wick_eight::progress(f, UP * wick_eight::TICK, DOWN * wick_eight::TICK));
  }

 private:
  BASE base;
};

// A line of the slot table: a style, and its sound folder.
struct wick_slot {
  const char* style;
  const char* sound;
};

namespace wick1_kit {
template <class STYLE>
wick_slot slot_of(const char* style, const char* sound) {
  enum { style_is_read = sizeof(wick1_error_STYLE_must_be_a_tape<is_style<STYLE>::yes>) };
  const wick_slot made = {style, sound};
  return made;
}
}  // namespace wick1_kit
#define SLOT(name, sound) wick1_kit::slot_of<name>(#name, sound)

// Plays a style: see stage.h.
template <class STYLE>
class wick_performer {
  enum { style_is_read = sizeof(wick1_kit::wick1_error_STYLE_must_be_a_tape<wick1_kit::is_style<STYLE>::yes>) };

 public:
  explicit wick_performer(const stage::Scene& scene) : bench_(scene), style_(bench_) {}
  void draw(int64_t t, unsigned char* rgb) { style_.draw(wick_eight::Frame(bench_.scene, t, 1.0).ticked(), rgb); }

 private:
  wick_eight::Bench bench_;
  STYLE style_;
};
#endif  // WICK2_H
#endif  // WICK1_H
