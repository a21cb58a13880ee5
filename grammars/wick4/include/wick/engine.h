// engine.h: what a wick 4 style runs on: the bench of one style, colours and mixing, easing, the kinds of node.
// Nothing here is a template, so that a file of many styles compiles it once. Doubles throughout; a node draws one row,
// a value for each pixel, hilt first. Formulas and their order: the language reference (grammars/reference.md).
#ifndef WICK_ENGINE_H
#define WICK_ENGINE_H
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <memory>
#include <utility>
#include <vector>

#include "../../../stage/stage.h"

namespace wick::engine {

inline constexpr double two_pi = 2 * 3.14159265358979323846;

inline double clamp01(double v) { return v < 0 ? 0 : v > 1 ? 1 : v; }

// ---- places and times -----------------------------------------------------------------------

// The unit of a length or a speed: millimetres, or per mille of the blade (wick 3).
enum Unit { MM, MIL };

struct Length {
  double value;
  Unit unit;
};

struct Moment {
  std::int64_t us;  // since the scene began
  double s;         // the same, in seconds
};

// ---- nodes ----------------------------------------------------------------------------------

struct Node {
  Node() = default;
  Node(const Node&) = delete;
  Node& operator=(const Node&) = delete;
  virtual ~Node() = default;
};

// Linear light, 3 doubles a pixel. Every node is drawn at every frame, seen or not: some remember.
struct Paint : Node {
  virtual void draw(const Moment& now, double* light) = 0;
};

// A weight for each pixel, already clamped to 0 to 1.
struct Signal : Node {
  virtual void draw(const Moment& now, double* weight) = 0;
};

class Power;

// The blade of a scene, and the nodes and noise numbers of the one style that plays on it.
class Bench {
 public:
  explicit Bench(const stage::Scene& s) : scene(s), n(std::size_t(s.pixels())) {
    x.resize(n);
    place[MM].resize(n);
    place[MIL].resize(n);
    for (std::size_t i = 0; i < n; ++i) {
      const double centre = double(i) + 0.5;
      x[i] = centre / double(n);
      place[MM][i] = centre * 1000 / s.per_metre();
      place[MIL][i] = centre * 1000 / double(n);
    }
    full[MM] = double(n) * 1000 / s.per_metre();
    full[MIL] = 1000;
  }

  template <class NODE>
  NODE* own(NODE* node) {
    nodes_.push_back(std::unique_ptr<Node>(node));
    return node;
  }

  const stage::Scene& scene;
  const std::size_t n;
  std::vector<double> x, place[2];  // of each pixel's centre: share of the blade; by Unit
  double full[2];                   // the whole blade, by Unit
  stage::Numbering numbers;
  Power* power = nullptr;  // null: always lit

 private:
  std::vector<std::unique_ptr<Node>> nodes_;
};

// ---- colour ---------------------------------------------------------------------------------

struct Rgb {
  double r, g, b;
};

enum class Space { OKLAB, LINEAR, SRGB };

// IEC 61966-2-1; a channel 0 to 1.
inline double srgb_decode(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }
inline double srgb_encode(double v) { return v <= 0.0031308 ? v * 12.92 : 1.055 * std::pow(v, 1 / 2.4) - 0.055; }

inline Rgb from_srgb(int r, int g, int b) {
  return {srgb_decode(r / 255.0), srgb_decode(g / 255.0), srgb_decode(b / 255.0)};
}

// CSS Color Level 4: its linear sRGB to XYZ and XYZ to LMS matrices multiplied, and its LMS to Oklab.
inline Rgb oklab_from_linear(const Rgb& c) {
  const double l = std::cbrt(0.412221469470763 * c.r + 0.5363325372617348 * c.g + 0.0514459932675022 * c.b);
  const double m = std::cbrt(0.21190349581782522 * c.r + 0.6806995506452344 * c.g + 0.10739695353694051 * c.b);
  const double s = std::cbrt(0.08830245919005643 * c.r + 0.2817188391361215 * c.g + 0.6299787016738221 * c.b);
  return {0.2104542683093140 * l + 0.7936177747023054 * m - 0.0040720430116193 * s,
          1.9779985324311684 * l - 2.4285922420485799 * m + 0.4505937096174110 * s,
          0.0259040424655478 * l + 0.7827717124575296 * m - 0.8086757549230774 * s};
}

// The inverse, each channel clipped to 0 to 1.
inline Rgb linear_from_oklab(const Rgb& lab) {
  const double l3 = lab.r + 0.3963377773761749 * lab.g + 0.2158037573099136 * lab.b;
  const double m3 = lab.r - 0.1055613458156586 * lab.g - 0.0638541728258133 * lab.b;
  const double s3 = lab.r - 0.0894841775298119 * lab.g - 1.2914855480194092 * lab.b;
  const double l = l3 * l3 * l3, m = m3 * m3 * m3, s = s3 * s3 * s3;
  return {clamp01(4.076741636075958 * l - 3.3077115392580625 * m + 0.23096990318210422 * s),
          clamp01(-1.268437973285032 * l + 2.609757349287689 * m - 0.3413193760026571 * s),
          clamp01(-0.004196076138675525 * l - 0.7034186179359363 * m + 1.7076146940746117 * s)};
}

inline Rgb from_oklch(double l, double c, double degrees) {
  const double h = degrees * (two_pi / 360);
  return linear_from_oklab({l, c * std::cos(h), c * std::sin(h)});
}

inline double lerp(double a, double b, double w) { return a * (1 - w) + b * w; }

// Mixes two lights in a space. Remembers the last light of either side in that space: neighbours are often equal.
class Mixer {
 public:
  explicit Mixer(Space space) : space_(space) {}

  void mix(const double* a, const double* b, double w, double* out) {
    if (space_ == Space::LINEAR) {
      for (int c = 0; c < 3; ++c) out[c] = lerp(a[c], b[c], w);
      return;
    }
    const Rgb& p = a_.in(space_, a);
    const Rgb& q = b_.in(space_, b);
    const Rgb m = {lerp(p.r, q.r, w), lerp(p.g, q.g, w), lerp(p.b, q.b, w)};
    const Rgb light = space_ == Space::OKLAB
                          ? linear_from_oklab(m)
                          : Rgb{clamp01(srgb_decode(m.r)), clamp01(srgb_decode(m.g)), clamp01(srgb_decode(m.b))};
    out[0] = light.r;
    out[1] = light.g;
    out[2] = light.b;
  }

 private:
  struct Memo {
    const Rgb& in(Space space, const double* c) {
      if (c[0] == from.r && c[1] == from.g && c[2] == from.b) return to;
      from = {c[0], c[1], c[2]};
      to = space == Space::OKLAB ? oklab_from_linear(from)
                                 : Rgb{srgb_encode(from.r), srgb_encode(from.g), srgb_encode(from.b)};
      return to;
    }
    Rgb from = {-1, -1, -1}, to = {0, 0, 0};
  };

  Space space_;
  Memo a_, b_;
};

// ---- easing: CSS Easing Level 2 -------------------------------------------------------------

enum class Jump { START, END, NONE, BOTH };

// y of a cubic Bezier from (0, 0) to (1, 1) where its x is the input; x rises, so halving finds it.
struct Bezier {
  double x1, y1, x2, y2;

  static double at(double p1, double p2, double s) {
    const double r = 1 - s;
    return 3 * r * r * s * p1 + 3 * r * s * s * p2 + s * s * s;
  }

  double operator()(double x) const {
    if (x <= 0) return 0;
    if (x >= 1) return 1;
    double low = 0, high = 1;
    for (int i = 0; i < 60; ++i) {
      const double mid = (low + high) / 2;
      (at(x1, x2, mid) < x ? low : high) = mid;
    }
    return at(y1, y2, (low + high) / 2);
  }
};

struct Steps {
  int count;
  Jump jump;

  double operator()(double x) const {
    const int jumps = jump == Jump::NONE ? count - 1 : jump == Jump::BOTH ? count + 1 : count;
    const double step = std::floor(x * count) + (jump == Jump::START || jump == Jump::BOTH ? 1 : 0);
    return std::min(std::max(step, 0.0), double(jumps)) / jumps;
  }
};

// One of the two, or linear. Remembers its last answer: most signals are the same over the blade.
class Curve {
 public:
  Curve() : kind_(LINEAR) {}
  explicit Curve(const Bezier& b) : kind_(BEZIER), bezier_(b) {}
  explicit Curve(const Steps& s) : kind_(STEPS), steps_(s) {}

  double operator()(double x) {
    if (kind_ == LINEAR) return x;
    if (x != from_) {
      from_ = x;
      to_ = kind_ == BEZIER ? bezier_(x) : steps_(x);
    }
    return to_;
  }

 private:
  enum Kind { LINEAR, BEZIER, STEPS } kind_;
  Bezier bezier_ = {0, 0, 1, 1};
  Steps steps_ = {1, Jump::END};
  double from_ = -1, to_ = 0;
};

}  // namespace wick::engine
#endif
