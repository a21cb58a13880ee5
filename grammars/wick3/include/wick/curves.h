// curves.h: the named easing functions of CSS Easing Level 2, generation 3.
#ifndef WICK3_CURVES_H
#define WICK3_CURVES_H
#include "bench.h"

namespace wick {
namespace detail {

// cubic-bezier of CSS Easing Level 2, solved by bisection down to neighbouring doubles.
WICK_SHARED double bezier(double x1, double y1, double x2, double y2, double x) {
  if (x <= 0.0) return 0.0;
  if (x >= 1.0) return 1.0;
  const auto along = [](double p1, double p2, double m) {
    const double r = 1 - m;
    return 3 * r * r * m * p1 + 3 * r * m * m * p2 + m * m * m;
  };
  double low = 0.0, high = 1.0;
  for (int i = 0; i < 64; ++i) {
    const double m = (low + high) / 2;
    (along(x1, x2, m) < x ? low : high) = m;
  }
  return along(y1, y2, (low + high) / 2);
}

}  // namespace detail

// The named easing functions of CSS Easing Level 2.
namespace curve {
struct linear : detail::easing {
  static double at(double x) { return x; }
};
struct ease : detail::easing {
  static double at(double x) { return detail::bezier(0.25, 0.1, 0.25, 1.0, x); }
};
struct ease_in : detail::easing {
  static double at(double x) { return detail::bezier(0.42, 0.0, 1.0, 1.0, x); }
};
struct ease_out : detail::easing {
  static double at(double x) { return detail::bezier(0.0, 0.0, 0.58, 1.0, x); }
};
struct ease_in_out : detail::easing {
  static double at(double x) { return detail::bezier(0.42, 0.0, 0.58, 1.0, x); }
};
struct step_start : detail::easing {
  static double at(double) { return 1.0; }
};
struct step_end : detail::easing {
  static double at(double x) { return x >= 1.0 ? 1.0 : 0.0; }
};
}  // namespace curve

}  // namespace wick
#endif
