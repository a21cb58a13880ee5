// engine_signals.h: the signals of wick 4 as nodes: sensors, waves, noise, places, arithmetic. See engine.h.
#ifndef WICK_ENGINE_SIGNALS_H
#define WICK_ENGINE_SIGNALS_H
#include "engine.h"

namespace wick::engine {

using Row = std::vector<double>;

// A signal that is the same over the whole blade.
class Even : public Signal {
 public:
  explicit Even(const Bench& bench) : bench_(bench) {}
  void draw(const Moment& now, double* weight) final {
    std::fill(weight, weight + bench_.n, clamp01(value(now)));
  }

 protected:
  virtual double value(const Moment& now) = 0;
  const Bench& bench_;
};

class Constant : public Even {
 public:
  Constant(const Bench& b, double value) : Even(b), value_(value) {}

 protected:
  double value(const Moment&) override { return value_; }

 private:
  double value_;
};

enum class Wave { SINE, TRIANGLE, SAW, SQUARE };

class Lfo : public Even {
 public:
  Lfo(const Bench& b, Wave wave, std::int64_t period, double phase)
      : Even(b), wave_(wave), period_(period), phase_(phase) {}

 protected:
  double value(const Moment& now) override {
    const double f = double(now.us % period_) / double(period_) + phase_;
    const double phi = f - std::floor(f);
    switch (wave_) {
      case Wave::SINE: return (1 - std::cos(two_pi * phi)) / 2;
      case Wave::TRIANGLE: return 1 - std::fabs(1 - 2 * phi);
      case Wave::SAW: return phi;
      case Wave::SQUARE: break;
    }
    return phi < 0.5 ? 0 : 1;
  }

 private:
  Wave wave_;
  std::int64_t period_;
  double phase_;
};

class Sound : public Even {
 public:
  Sound(const Bench& b, std::int64_t lag) : Even(b), lag_(lag) {}

 protected:
  double value(const Moment& now) override {
    return bench_.scene.sensor(stage::SOUND, std::max<std::int64_t>(0, now.us - lag_));
  }

 private:
  std::int64_t lag_;
};

class Swing : public Even {
 public:
  Swing(const Bench& b, double full) : Even(b), full_(full) {}

 protected:
  double value(const Moment& now) override { return std::fabs(bench_.scene.sensor(stage::SWING, now.us)) / full_; }

 private:
  double full_;
};

// An angle as a share of its range, -half to half.
class Angle : public Even {
 public:
  Angle(const Bench& b, stage::Sensor which, double half) : Even(b), which_(which), half_(half) {}

 protected:
  double value(const Moment& now) override {
    return (bench_.scene.sensor(which_, now.us) + half_) / (2 * half_);
  }

 private:
  stage::Sensor which_;
  double half_;
};

// ---- noise ----------------------------------------------------------------------------------

enum class NoiseKind { HOLD, SOFT, DRIFT };
enum class Cells { WHOLE, EACH, GRAIN };

class Noise : public Signal {
 public:
  Noise(Bench& b, NoiseKind kind, std::int64_t millihertz, Cells cells, Length grain)
      : bench_(b), kind_(kind), rate_(millihertz), number_(b.numbers.take()), cell_(b.n, 0), now_(b.n), next_(b.n) {
    for (std::size_t i = 0; i < b.n; ++i) {
      if (cells == Cells::EACH) cell_[i] = i;
      if (cells == Cells::GRAIN) cell_[i] = std::uint64_t(std::floor(b.place[grain.unit][i] / grain.value));
    }
  }

  void draw(const Moment& now, double* weight) override {
    const std::int64_t product = now.us * rate_, second = 1000000000;
    const double part = double(product % second) / 1e9;
    go_to(product / second);
    for (std::size_t i = 0; i < bench_.n; ++i)
      weight[i] = kind_ == NoiseKind::HOLD ? now_[i] : clamp01(now_[i] + (next_[i] - now_[i]) * part);
  }

 private:
  // u of every pixel's cell; cells rise along the blade, so equal ones are neighbours.
  void fill(Row& row, std::int64_t step) const {
    for (std::size_t i = 0; i < bench_.n; ++i)
      row[i] = i && cell_[i] == cell_[i - 1] ? row[i - 1] : stage::noise(number_, std::uint64_t(step), cell_[i]);
  }

  // next_ becomes the step of the walk after now_, which is at step_.
  void walk() {
    fill(next_, step_ + 1);
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double d = now_[i] + (next_[i] - 0.5) / 2;
      next_[i] = d < 0 ? -d : d > 1 ? 2 - d : d;
    }
  }

  void go_to(std::int64_t step) {
    if (step == step_) return;
    if (kind_ == NoiseKind::DRIFT) {
      if (step_ < 0) start_walk();
      while (step_ < step) {
        now_.swap(next_);
        ++step_;
        walk();
      }
      return;
    }
    step_ = step;
    fill(now_, step);
    if (kind_ == NoiseKind::SOFT) fill(next_, step + 1);
  }

  void start_walk() {
    step_ = 0;
    fill(now_, 0);
    walk();
  }

  const Bench& bench_;
  NoiseKind kind_;
  std::int64_t rate_;
  std::uint64_t number_;
  std::vector<std::uint64_t> cell_;
  Row now_, next_;  // at step_ and the step after it
  std::int64_t step_ = -1;
};

// ---- places ---------------------------------------------------------------------------------

// A raised cosine `width` wide round the place that `centre` gives.
class Near : public Signal {
 public:
  Near(const Bench& b, Signal* centre, Length width) : bench_(b), centre_(centre), width_(width) {}
  void draw(const Moment& now, double* weight) override {
    centre_->draw(now, weight);
    const double full = bench_.full[width_.unit], w = width_.value;
    const Row& u = bench_.place[width_.unit];
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double d = std::fabs(u[i] - weight[i] * full);
      weight[i] = d < w / 2 ? clamp01((1 + std::cos(two_pi * d / w)) / 2) : 0;
    }
  }

 private:
  const Bench& bench_;
  Signal* centre_;
  Length width_;
};

// Falls from 1 at the hilt, or at the tip, to 0 at `length` from it.
class Fall : public Signal {
 public:
  Fall(const Bench& b, Length length, bool from_tip) : bench_(b), length_(length), from_tip_(from_tip) {}
  void draw(const Moment&, double* weight) override {
    const Row& u = bench_.place[length_.unit];
    const double full = bench_.full[length_.unit];
    for (std::size_t i = 0; i < bench_.n; ++i)
      weight[i] = clamp01(1 - (from_tip_ ? full - u[i] : u[i]) / length_.value);
  }

 private:
  const Bench& bench_;
  Length length_;
  bool from_tip_;
};

class Along : public Signal {
 public:
  explicit Along(const Bench& b) : bench_(b) {}
  void draw(const Moment&, double* weight) override { std::copy(bench_.x.begin(), bench_.x.end(), weight); }

 private:
  const Bench& bench_;
};

// ---- arithmetic -----------------------------------------------------------------------------

enum class Fold { PRODUCT, MOST, LEAST };

class Folded : public Signal {
 public:
  Folded(const Bench& b, Fold how, std::vector<Signal*> parts)
      : bench_(b), how_(how), parts_(std::move(parts)), row_(b.n) {}
  void draw(const Moment& now, double* weight) override {
    parts_.front()->draw(now, weight);
    for (std::size_t p = 1; p < parts_.size(); ++p) {
      parts_[p]->draw(now, row_.data());
      for (std::size_t i = 0; i < bench_.n; ++i)
        weight[i] = how_ == Fold::PRODUCT ? weight[i] * row_[i]
                    : how_ == Fold::MOST  ? std::max(weight[i], row_[i])
                                          : std::min(weight[i], row_[i]);
    }
  }

 private:
  const Bench& bench_;
  Fold how_;
  std::vector<Signal*> parts_;
  Row row_;
};

class Inverse : public Signal {
 public:
  Inverse(const Bench& b, Signal* of) : bench_(b), of_(of) {}
  void draw(const Moment& now, double* weight) override {
    of_->draw(now, weight);
    for (std::size_t i = 0; i < bench_.n; ++i) weight[i] = 1 - weight[i];
  }

 private:
  const Bench& bench_;
  Signal* of_;
};

class Past : public Signal {
 public:
  Past(const Bench& b, Signal* of, double level) : bench_(b), of_(of), level_(level) {}
  void draw(const Moment& now, double* weight) override {
    of_->draw(now, weight);
    for (std::size_t i = 0; i < bench_.n; ++i) weight[i] = weight[i] >= level_ ? 1 : 0;
  }

 private:
  const Bench& bench_;
  Signal* of_;
  double level_;
};

class Ease : public Signal {
 public:
  Ease(const Bench& b, Signal* of, const Curve& curve) : bench_(b), of_(of), curve_(curve) {}
  void draw(const Moment& now, double* weight) override {
    of_->draw(now, weight);
    for (std::size_t i = 0; i < bench_.n; ++i) weight[i] = clamp01(curve_(weight[i]));
  }

 private:
  const Bench& bench_;
  Signal* of_;
  Curve curve_;
};

// A rate limit; `up` and `down` are microseconds for the full range, 0 no limit.
class Slew : public Signal {
 public:
  Slew(const Bench& b, Signal* of, std::int64_t up, std::int64_t down)
      : bench_(b), of_(of), up_(up), down_(down), y_(b.n) {}
  void draw(const Moment& now, double* weight) override {
    of_->draw(now, weight);
    if (last_ < 0) {
      std::copy(weight, weight + bench_.n, y_.begin());
    } else {
      const double dt = double(now.us - last_);
      for (std::size_t i = 0; i < bench_.n; ++i) y_[i] = step(y_[i], weight[i], dt);
    }
    last_ = now.us;
    std::copy(y_.begin(), y_.end(), weight);
  }

 private:
  double step(double y, double w, double dt) const {
    double move = w - y;
    if (up_ && move > dt / double(up_)) move = dt / double(up_);
    if (down_ && move < -dt / double(down_)) move = -dt / double(down_);
    return clamp01(y + move);
  }

  const Bench& bench_;
  Signal* of_;
  std::int64_t up_, down_, last_ = -1;
  Row y_;
};

// Each pixel keeps its greatest weight, halving in `half` microseconds.
class Trail : public Signal {
 public:
  Trail(const Bench& b, Signal* of, std::int64_t half) : bench_(b), of_(of), half_(half), m_(b.n, 0.0) {}
  void draw(const Moment& now, double* weight) override {
    of_->draw(now, weight);
    const double keep = last_ < 0 || !half_ ? 0 : std::exp2(-double(now.us - last_) / double(half_));
    last_ = now.us;
    for (std::size_t i = 0; i < bench_.n; ++i) weight[i] = m_[i] = std::max(weight[i], m_[i] * keep);
  }

 private:
  const Bench& bench_;
  Signal* of_;
  std::int64_t half_, last_ = -1;
  Row m_;
};

}  // namespace wick::engine
#endif
