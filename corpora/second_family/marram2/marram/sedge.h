// Sedge: release 2 of Marram, an invented firmware for light blades. C++17, doubles, linear light.
// A pixel's number counts from the TIP. A tempo is beats a minute; whatever lasts, lasts one beat of its tempo.
// A length along the blade is in degrees, of which the whole blade has 360. A share is in 10,000ths, and in 100ths for Dimmed.
#ifndef MARRAM_SEDGE_H
#define MARRAM_SEDGE_H
#include <cmath>
#include <cstdint>

namespace marram {

// What the controller knows of one kind of happening: the latest one, and whether there was one.
struct Mark {
  bool seen = false;
  std::int64_t begun = 0, ended = 0;  // microseconds; ended == begun for what happens at once
  double fromTip = 0;                 // its place: 0 at the tip, 1 at the hilt
};

using Dice = double (*)(std::uint64_t die, std::uint64_t throwNumber);

// One moment, as every part of a style is shown it.
struct Moment {
  std::int64_t now = 0;  // microseconds since the controller woke
  int pixels = 1;
  Mark drawn, sheathed, struck, deflected, locked, dragged;
  double loudness = 0, rollDegrees = 0, swingDegreesPerSecond = 0;
  Dice dice = nullptr;
};

struct Light {
  double red = 0, green = 0, blue = 0;
};

// Numbers the dice of a style, in the order in which its parts are built.
struct Kit {
  std::uint64_t next = 0;
  std::uint64_t die() { return next++; }
};

namespace detail {
inline Light mixed(Light a, Light b, double w) {
  return {a.red * (1 - w) + b.red * w, a.green * (1 - w) + b.green * w, a.blue * (1 - w) + b.blue * w};
}
constexpr std::int64_t beat(int bpm) { return (120000000LL + bpm) / (2LL * bpm); }
inline double turn(const Moment& m, int bpm) { return double(m.now % beat(bpm)) / double(beat(bpm)); }
inline double fromHilt(const Moment& m, int pixel) { return (m.pixels - 1 - pixel) + 0.5; }
inline double thousandths(const Moment& m, int pixel) { return fromHilt(m, pixel) * 1000 / m.pixels; }
inline double degrees(int d) { return d * 25.0 / 9.0; }
inline double since(const Moment& m, const Mark& k) { return double(m.now - k.begun); }
inline bool lasts(const Moment& m, const Mark& k) { return k.seen && m.now < k.ended; }
inline double die(const Moment& m, std::uint64_t number, int bpm) {
  const std::int64_t milliHertz = (2000LL * bpm + 60) / 120;
  return m.dice(number, std::uint64_t(m.now * milliHertz / 1000000000LL));
}
}  // namespace detail

// Cues: what a Mix follows, 0 to 1.
class Loudness {
 public:
  explicit Loudness(Kit&) {}
  double level(const Moment& m) const { return m.loudness; }
};

class Roll {
 public:
  explicit Roll(Kit&) {}
  double level(const Moment& m) const { return (m.rollDegrees + 180) / 360; }
};

// A cue that swells and ebbs once a beat.
template <int Bpm>
class Tide {
 public:
  explicit Tide(Kit&) {}
  double level(const Moment& m) const { return (1 - std::cos(2 * M_PI * detail::turn(m, Bpm))) / 2; }
};

// The lesser of two cues.
template <class First, class Second>
class Lesser {
 public:
  explicit Lesser(Kit& kit) : first(kit), second(kit) {}
  double level(const Moment& m) const { return std::fmin(first.level(m), second.level(m)); }

 private:
  First first;
  Second second;
};

// One colour, in duties 0 to 255. Blue comes first.
template <int Blue, int Green, int Red>
class Dye {
 public:
  explicit Dye(Kit&) {}
  void look(const Moment& m) { (void)m; }
  Light at(const Moment& m, int pixel) const {
    (void)m, (void)pixel;
    return {Red / 255.0, Green / 255.0, Blue / 255.0};
  }

 private:
};

// From A to B and back, softly, once a beat.
template <int Bpm, class A, class B>
class Swell {
 public:
  explicit Swell(Kit& kit) : a(kit), b(kit) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double w = (1 - std::cos(2 * M_PI * detail::turn(m, Bpm))) / 2;
    return detail::mixed(a.at(m, pixel), b.at(m, pixel), w);
  }

 private:
  A a;
  B b;
};

// A for half a beat, B for the other half.
template <class A, class B, int Bpm>
class Blink {
 public:
  explicit Blink(Kit& kit) : a(kit), b(kit) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    return detail::turn(m, Bpm) < 0.5 ? a.at(m, pixel) : b.at(m, pixel);
  }

 private:
  A a;
  B b;
};

// The whole blade takes a random mix of A and B, a new one every beat.
template <int Bpm, class A, class B>
class Gutter {
 public:
  explicit Gutter(Kit& kit) : a(kit), b(kit), number(kit.die()) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    return detail::mixed(a.at(m, pixel), b.at(m, pixel), detail::die(m, number, Bpm));
  }

 private:
  A a;
  B b;
  std::uint64_t number;
};

// One colour at the tip, falling off into another at the hilt.
template <class Tip, class Hilt>
class Fall {
 public:
  explicit Fall(Kit& kit) : hilt(kit), tip(kit) {}
  void look(const Moment& m) { hilt.look(m); tip.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double x = detail::fromHilt(m, pixel) / m.pixels;
    return detail::mixed(hilt.at(m, pixel), tip.at(m, pixel), x);
  }

 private:
  Hilt hilt;
  Tip tip;
};

// A, dimmed to so many per cent of its light.
template <int Share, class A>
class Dimmed {
 public:
  explicit Dimmed(Kit& kit) : a(kit) {}
  void look(const Moment& m) { a.look(m); }
  Light at(const Moment& m, int pixel) const {
    const Light light = a.at(m, pixel);
    const double w = Share / 100.0;
    return {light.red * w, light.green * w, light.blue * w};
  }

 private:
  A a;
};

// As many pairs of stripes as are asked for, A first at the tip; they drift from the tip toward the hilt.
template <int Pairs, int Drift, class A, class B>
class Stripes {
 public:
  explicit Stripes(Kit& kit) : b(kit), a(kit) {}
  void look(const Moment& m) { b.look(m); a.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double y = std::floor((detail::thousandths(m, pixel) + detail::degrees(Drift) * (double(m.now) / 1e6)) / (500.0 / Pairs));
    return y - 2 * std::floor(y / 2) == 0 ? b.at(m, pixel) : a.at(m, pixel);
  }

 private:
  B b;
  A a;
};

// From A to B, the faster the swing; B at FullSpeed degrees a second.
template <int FullSpeed, class A, class B>
class Swung {
 public:
  explicit Swung(Kit& kit) : a(kit), b(kit) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double w = std::fmin(1.0, std::fabs(m.swingDegreesPerSecond) / FullSpeed);
    return detail::mixed(a.at(m, pixel), b.at(m, pixel), w);
  }

 private:
  A a;
  B b;
};

// B glints along A, a share of the pixels at a time, new ones every beat.
template <int Bpm, int Glints, class A, class B>
class Glimmer {
 public:
  explicit Glimmer(Kit& kit) : a(kit), b(kit) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    std::uint64_t mess = (std::uint64_t(m.now / detail::beat(Bpm)) + 1) * 2654435761u + std::uint64_t(pixel) * 40503u;
    mess ^= mess >> 13;
    mess *= 2246822519u;
    return (mess >> 7) % 10000 < std::uint64_t(Glints) ? b.at(m, pixel) : a.at(m, pixel);
  }

 private:
  A a;
  B b;
};

// From A to B as a cue says.
template <class Cue, class A, class B>
class Mix {
 public:
  explicit Mix(Kit& kit) : a(kit), b(kit), cue(kit) {}
  void look(const Moment& m) { a.look(m); b.look(m); }
  Light at(const Moment& m, int pixel) const {
    return detail::mixed(a.at(m, pixel), b.at(m, pixel), cue.level(m));
  }

 private:
  A a;
  B b;
  Cue cue;
};

// When the blade is struck, all of it is Colour for a beat.
template <class Colour, class Inner, int Bpm = 750>
class OnStruck {
 public:
  explicit OnStruck(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    const bool now = m.struck.seen && detail::since(m, m.struck) < double(detail::beat(Bpm));
    return now ? colour.at(m, pixel) : inner.at(m, pixel);
  }

 private:
  Inner inner;
  Colour colour;
};

// When a bolt is deflected, a hump of Colour, that many degrees wide, fades within a beat.
template <int Degrees, int Bpm, class Colour, class Inner>
class OnDeflected {
 public:
  explicit OnDeflected(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double d = std::fabs(detail::thousandths(m, pixel) - (1 - m.deflected.fromTip) * 1000);
    const double wide = detail::degrees(Degrees);
    const double near = d < wide / 2 ? (1 + std::cos(2 * M_PI * d / wide)) / 2 : 0;
    const double left = m.deflected.seen ? std::fmax(0.0, 1 - detail::since(m, m.deflected) / detail::beat(Bpm)) : 0;
    return detail::mixed(inner.at(m, pixel), colour.at(m, pixel), left * near);
  }

 private:
  Inner inner;
  Colour colour;
};

// While the blade is locked, all of it is Colour.
template <class Colour, class Inner>
class OnLocked {
 public:
  explicit OnLocked(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    return detail::lasts(m, m.locked) ? colour.at(m, pixel) : inner.at(m, pixel);
  }

 private:
  Inner inner;
  Colour colour;
};

// While the tip drags, its last degrees are Colour.
template <int Degrees, class Colour, class Inner>
class OnDragged {
 public:
  explicit OnDragged(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    const bool end = detail::thousandths(m, pixel) >= 1000 - detail::degrees(Degrees);
    return detail::lasts(m, m.dragged) && end ? colour.at(m, pixel) : inner.at(m, pixel);
  }

 private:
  Inner inner;
  Colour colour;
};

// Colour at the hilt, fading out within so many degrees.
template <int Degrees, class Colour, class Inner>
class Guard {
 public:
  explicit Guard(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double w = std::fmax(0.0, 1 - detail::thousandths(m, pixel) / detail::degrees(Degrees));
    return detail::mixed(inner.at(m, pixel), colour.at(m, pixel), w);
  }

 private:
  Inner inner;
  Colour colour;
};

// Colour at the tip, fading out within so many degrees.
template <int Degrees, class Colour, class Inner>
class Point {
 public:
  explicit Point(Kit& kit) : inner(kit), colour(kit) {}
  void look(const Moment& m) { inner.look(m); colour.look(m); }
  Light at(const Moment& m, int pixel) const {
    const double w = std::fmax(0.0, 1 - (1000 - detail::thousandths(m, pixel)) / detail::degrees(Degrees));
    return detail::mixed(inner.at(m, pixel), colour.at(m, pixel), w);
  }

 private:
  Inner inner;
  Colour colour;
};

// The whole style: drawn from the hilt within a beat of one tempo, sheathed from the tip within one of another.
template <int DrawBpm, int SheatheBpm, class Inner>
class Wield {
 public:
  explicit Wield(Kit& kit) : inner(kit) {}
  void look(const Moment& m) {
    inner.look(m);
    const bool drawFirst = m.drawn.begun <= m.sheathed.begun;
    if (drawFirst) turn(m.drawn, lastDraw, 1);
    turn(m.sheathed, lastSheathe, -1);
    if (!drawFirst) turn(m.drawn, lastDraw, 1);
    lit = share(m.now);
  }
  Light at(const Moment& m, int pixel) const {
    return detail::fromHilt(m, pixel) / m.pixels < lit ? inner.at(m, pixel) : Light{};
  }

 private:
  double share(std::int64_t now) const {
    const double gone = double(now - since);
    if (way > 0) return std::fmin(1.0, from + gone / detail::beat(DrawBpm));
    return way < 0 ? std::fmax(0.0, from - gone / detail::beat(SheatheBpm)) : 0.0;
  }
  void turn(const Mark& mark, std::int64_t& last, int to) {
    if (!mark.seen || mark.begun <= last) return;
    last = mark.begun;
    const double q = share(mark.begun);
    if (to > 0 ? way > 0 : way <= 0) return;
    from = q;
    since = mark.begun;
    way = to;
  }
  Inner inner;
  double from = 0, lit = 0;
  int way = 0;
  std::int64_t since = 0, lastDraw = -1, lastSheathe = -1;
};

// The rack that a config hangs its styles on.
struct Held {
  const char *sounds, *label;
};
template <class Style>
Held Peg(const char* sounds, const char* label) {
  return {sounds, label};
}
struct Rack {
  Held held[32];
};

}  // namespace marram
#endif
