// wick2.h: the generation of sleeves. C++11. A style is a core of paint with sleeves round it, the power outermost;
// lengths are pixels, times milliseconds, colours 8-bit duties, mixing is rounded: (a (255 - k) + b k + 127) div 255.
#ifndef WICK2_H
#define WICK2_H
#ifdef WICK1_H
#error "wick2.h brings the wick 1 paints itself, under tape1:: - do not include wick1.h beside it"
#else
#include <initializer_list>

#include "../../wick1/include/wick1_paints.h"
#include "wick2_paints.h"
#include "wick2_sleeves.h"

// The wick 1 paints, for from_tape<...>.
namespace tape1 {
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
}  // namespace tape1

// A line of the slot table: a style's sound folder and label.
struct wick_slot {
  const char* sound;
  const char* label;
};

class wick_slots {
 public:
  wick_slots(std::initializer_list<wick_slot> list) : list_(list) {}
  std::size_t size() const { return list_.size(); }
  const wick_slot& operator[](std::size_t i) const { return list_[i]; }

 private:
  std::vector<wick_slot> list_;
};

template <class STYLE>
wick_slot slot(const char* sound, const char* label) {
  static_assert(wick2_kit::is_style<STYLE>(), "slot: STYLE must be a style: a sleeve or a paint of wick 2");
  return wick_slot{sound, label};
}

// Plays a style: see stage.h.
template <class STYLE>
class wick_performer {
  static_assert(wick2_kit::is_style<STYLE>(), "a performer's STYLE must be a style: a sleeve or a paint of wick 2");

 public:
  explicit wick_performer(const stage::Scene& scene) : bench_(scene), style_(bench_) {}
  void draw(int64_t t, unsigned char* rgb) { style_.draw(wick2_kit::Frame(bench_.scene, t, 1.0), rgb); }

 private:
  wick_eight::Bench bench_;
  STYLE style_;
};
#endif  // WICK1_H
#endif  // WICK2_H
