// sheets.h: the sheets of generation 3, and the pile that lays them on its ground.
#ifndef WICK3_SHEETS_H
#define WICK3_SHEETS_H
#include "power.h"

namespace wick {

// P over what is below, alpha W.
template <class P = detail::none, class W = detail::none, class... MORE>
class veil : public detail::sheet {
  WICK_NEED((!std::is_same<W, detail::none>::value && sizeof...(MORE) == 0), "veil<P, W> takes two arguments");
  WICK_NEED_PAINT(P, "veil<P, W>: P");
  WICK_NEED_SIGNAL(W, "veil<P, W>: W");

 public:
  explicit veil(detail::bench& b) : p_(b), w_(b), over_(b.lights()), weight_(b.weights()) {}
  void lay(const detail::bench& b, detail::light* row) {
    p_.row(b, over_);
    w_.row(b, weight_);
    detail::mix_row(b, row, over_, weight_);
  }

 private:
  P p_;
  W w_;
  detail::light* over_;
  double* weight_;
};

// P added to what is below, times W.
template <class P = detail::none, class W = detail::none, class... MORE>
class gleam : public detail::sheet {
  WICK_NEED((!std::is_same<W, detail::none>::value && sizeof...(MORE) == 0), "gleam<P, W> takes two arguments");
  WICK_NEED_PAINT(P, "gleam<P, W>: P");
  WICK_NEED_SIGNAL(W, "gleam<P, W>: W");

 public:
  explicit gleam(detail::bench& b) : p_(b), w_(b), over_(b.lights()), weight_(b.weights()) {}
  void lay(const detail::bench& b, detail::light* row) {
    p_.row(b, over_);
    w_.row(b, weight_);
    detail::add_row(b, row, over_, weight_);
  }

 private:
  P p_;
  W w_;
  detail::light* over_;
  double* weight_;
};

namespace detail {

// The weight of an event's spot: its envelope times a raised cosine `wide` at its place.
WICK_SHARED void spot_row(const bench& b, int kind, double level, const double* u, double full, double wide,
                          double* w) {
  const stage::Occurrence* o = latest(b, kind);
  fill(b, w, o ? o->place : 0.0);
  near_row(b, u, full, wide, w);
  for (int i = 0; i < b.n; ++i) w[i] = level * w[i];
}

// P over the whole blade by an envelope; the arguments are checked by what derives from it.
template <class EVENT, class P, class SHAPE>
class event_sheet : public sheet {
 public:
  explicit event_sheet(bench& b) : p_(b), over_(b.lights()), weight_(b.weights()) {}
  void lay(const bench& b, light* row) {
    p_.row(b, over_);
    fill(b, weight_, envelope<EVENT, SHAPE>(b));
    mix_row(b, row, over_, weight_);
  }

 private:
  P p_;
  light* over_;
  double* weight_;
};

}  // namespace detail

template <class EVENT = detail::none, class P = detail::none, class SHAPE = detail::none, class... MORE>
class on : public detail::event_sheet<EVENT, P, SHAPE> {
  WICK_NEED((!std::is_same<SHAPE, detail::none>::value && sizeof...(MORE) == 0),
            "on<EVENT, P, SHAPE> takes three arguments");
  WICK_NEED_EVENT(EVENT, "on<EVENT, P, SHAPE>: EVENT");
  WICK_NEED_PAINT(P, "on<EVENT, P, SHAPE>: P");
  WICK_NEED_SHAPE(EVENT, SHAPE, "on<EVENT, P, SHAPE>");

 public:
  explicit on(detail::bench& b) : detail::event_sheet<EVENT, P, SHAPE>(b) {}
};

// The same, in a raised cosine MIL wide at the event's place.
template <class EVENT = detail::none, class P = detail::none, int MIL = detail::NO,
          class SHAPE = detail::none, class... MORE>
class spot : public detail::sheet {
  WICK_NEED((!std::is_same<SHAPE, detail::none>::value && sizeof...(MORE) == 0),
            "spot<EVENT, P, MIL, SHAPE> takes four arguments");
  WICK_NEED_EVENT(EVENT, "spot<EVENT, P, MIL, SHAPE>: EVENT");
  WICK_NEED_PAINT(P, "spot<EVENT, P, MIL, SHAPE>: P");
  WICK_NEED_RANGE(MIL, 0, 65535, "spot<EVENT, P, MIL, SHAPE>: MIL");
  WICK_NEED_SHAPE(EVENT, SHAPE, "spot<EVENT, P, MIL, SHAPE>");

 public:
  explicit spot(detail::bench& b) : p_(b), over_(b.lights()), weight_(b.weights()) {}
  void lay(const detail::bench& b, detail::light* row) {
    p_.row(b, over_);
    detail::spot_row(b, EVENT::kind, detail::envelope<EVENT, SHAPE>(b), b.mil, 1000, MIL, weight_);
    detail::mix_row(b, row, over_, weight_);
  }

 private:
  P p_;
  detail::light* over_;
  double* weight_;
};

// A hard band MIL long on the moving edge of ignition and retraction.
template <class P = detail::none, int MIL = detail::NO, int... MORE>
class edge : public detail::sheet {
  WICK_NEED(MIL != detail::NO && sizeof...(MORE) == 0, "edge<P, MIL> takes two arguments");
  WICK_NEED_PAINT(P, "edge<P, MIL>: P");
  WICK_NEED_RANGE(MIL, 0, 65535, "edge<P, MIL>: MIL");

 public:
  explicit edge(detail::bench& b) : p_(b), over_(b.lights()), weight_(b.weights()) {}
  void lay(const detail::bench& b, detail::light* row) {
    p_.row(b, over_);
    detail::edge_row(b, b.mil, 1000, MIL, weight_);
    detail::mix_row(b, row, over_, weight_);
  }

 private:
  P p_;
  detail::light* over_;
  double* weight_;
};

// What ignition and retraction play; the last sheet.
template <class RISE = detail::none, class FALL = detail::none, class... MORE>
class power : public detail::power_sheet {
  WICK_NEED((!std::is_same<FALL, detail::none>::value && sizeof...(MORE) == 0),
            "power<RISE, FALL> takes two arguments");
  WICK_NEED_SORT(transition, RISE, "power<RISE, FALL>: RISE", "a transition");
  WICK_NEED_SORT(transition, FALL, "power<RISE, FALL>: FALL", "a transition");

 public:
  explicit power(detail::bench& b) : play_(b) {}
  void begin(detail::bench& b) { play_.begin(b); }
  void lay(const detail::bench& b, detail::light* row) { play_.lay(b, row); }

 private:
  detail::power_play<RISE, FALL> play_;
};

namespace detail {

// Only power has something to say before the sheets are laid.
template <class SHEET>
void begin_sheet(bench&, SHEET&) {}
template <class RISE, class FALL>
void begin_sheet(bench& b, power<RISE, FALL>& p) {
  p.begin(b);
}

template <class... SHEETS>
class sheet_list;
template <>
class sheet_list<> {
 public:
  explicit sheet_list(bench&) {}
  void begin(bench&) {}
  void lay(const bench&, light*) {}
};
template <class HEAD, class... TAIL>
class sheet_list<HEAD, TAIL...> {
  WICK_NEED((is<sheet, HEAD>::value),
            "pile<GROUND, SHEET, ...>: every SHEET must be a sheet: veil, gleam, on, spot, edge or power");
  WICK_NEED((!is<power_sheet, HEAD>::value || sizeof...(TAIL) == 0),
            "pile<GROUND, SHEET, ...>: power must be the last sheet");

 public:
  explicit sheet_list(bench& b) : head_(b), tail_(b) {}
  void begin(bench& b) {
    begin_sheet(b, head_);
    tail_.begin(b);
  }
  void lay(const bench& b, light* row) {
    head_.lay(b, row);
    tail_.lay(b, row);
  }

 private:
  HEAD head_;
  sheet_list<TAIL...> tail_;
};

}  // namespace detail

// A ground, and sheets over it from first to last.
template <class GROUND = detail::none, class... SHEETS>
class pile : public detail::style {
  WICK_NEED((!std::is_same<GROUND, detail::none>::value), "pile<GROUND, SHEET, ...> takes at least a ground");
  WICK_NEED((!detail::is<detail::style, GROUND>::value), "pile<GROUND, SHEET, ...>: GROUND: a style is not a paint");
  WICK_NEED((detail::is<detail::paint, GROUND>::value || detail::is<detail::sleeve, GROUND>::value ||
             detail::is<detail::style, GROUND>::value || std::is_same<GROUND, detail::none>::value),
            "pile<GROUND, SHEET, ...>: GROUND must be a paint");

 public:
  explicit pile(detail::bench& b) : ground_(b), sheets_(b) {}
  void begin(detail::bench& b) { sheets_.begin(b); }
  void row(const detail::bench& b, detail::light* out) {
    ground_.row(b, out);
    sheets_.lay(b, out);
  }

 private:
  GROUND ground_;
  detail::sheet_list<SHEETS...> sheets_;
};

}  // namespace wick
#endif
