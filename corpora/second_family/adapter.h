// The adapter: plays a Marram style on the stage, so that `rehilt packs try` can compare its frames with a meaning.
//
// A page of code that a maker writes once. The stage (stage.h) gives the blade, the clock, the events and the sensors
// of a scene, and asks for a class template `wick_performer` of one style, in the global namespace, with
//   explicit wick_performer(const stage::Scene&);
//   void draw(int64_t t, unsigned char* rgb);      // pixels() * 3 duties, called in the order of time
// The firmware's own header is included before this file. The first pixel is whichever end the firmware counts from;
// the pack says so (`first_pixel tip`).
#include <stage.h>

inline double marram_dice(std::uint64_t die, std::uint64_t throwNumber) { return stage::noise(die, throwNumber, 0); }

template <class STYLE>
class wick_performer {
 public:
  explicit wick_performer(const stage::Scene& scene) : scene_(scene), style_(kit_) {}

  void draw(int64_t t, unsigned char* rgb) {
    marram::Moment m;
    m.now = t;
    m.pixels = scene_.pixels();
    m.drawn = mark(stage::IGNITE, t);
    m.sheathed = mark(stage::RETRACT, t);
    m.struck = mark(stage::CLASH, t);
    m.deflected = mark(stage::BLAST, t);
    m.locked = mark(stage::LOCK, t);
    m.dragged = mark(stage::DRAG, t);
    m.loudness = scene_.sensor(stage::SOUND, t);
    m.rollDegrees = scene_.sensor(stage::TWIST, t);
    m.swingDegreesPerSecond = scene_.sensor(stage::SWING, t);
    m.dice = marram_dice;
    style_.look(m);
    for (int pixel = 0; pixel < m.pixels; ++pixel) {
      const marram::Light light = style_.at(m, pixel);
      *rgb++ = duty(light.red);
      *rgb++ = duty(light.green);
      *rgb++ = duty(light.blue);
    }
  }

 private:
  static unsigned char duty(double v) { return static_cast<unsigned char>(std::floor(255 * v + 0.5)); }

  marram::Mark mark(stage::Event kind, int64_t t) const {
    marram::Mark out;
    const int which = scene_.latest(kind, t);
    if (which < 0) return out;
    const stage::Occurrence& o = scene_.all(kind)[size_t(which)];
    out.seen = true;
    out.begun = o.start;
    out.ended = o.end;
    out.fromTip = 1 - o.place;
    return out;
  }

  const stage::Scene& scene_;
  marram::Kit kit_;
  STYLE style_;
};
