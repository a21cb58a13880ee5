// engine_paints.h: the paints of wick 4 as nodes. See engine.h.
#ifndef WICK_ENGINE_PAINTS_H
#define WICK_ENGINE_PAINTS_H
#include "engine_signals.h"

namespace wick::engine {

class Plain : public Paint {
 public:
  Plain(const Bench& b, const Rgb& c) : bench_(b), colour_(c) {}
  void draw(const Moment&, double* light) override {
    for (std::size_t i = 0; i < bench_.n; ++i) {
      light[3 * i] = colour_.r;
      light[3 * i + 1] = colour_.g;
      light[3 * i + 2] = colour_.b;
    }
  }

 private:
  const Bench& bench_;
  Rgb colour_;
};

class Blend : public Paint {
 public:
  Blend(const Bench& b, Paint* from, Paint* to, Signal* by, Space space)
      : bench_(b), from_(from), to_(to), by_(by), mixer_(space), light_(3 * b.n), weight_(b.n) {}
  void draw(const Moment& now, double* light) override {
    from_->draw(now, light);
    to_->draw(now, light_.data());
    by_->draw(now, weight_.data());
    for (std::size_t i = 0; i < bench_.n; ++i)
      mixer_.mix(light + 3 * i, light_.data() + 3 * i, weight_[i], light + 3 * i);
  }

 private:
  const Bench& bench_;
  Paint *from_, *to_;
  Signal* by_;
  Mixer mixer_;
  Row light_, weight_;
};

// Paints that share the blade, each drawn in full at every frame: what bands and ramps choose from.
class Choice : public Paint {
 protected:
  Choice(const Bench& b, std::vector<Paint*> paints)
      : bench_(b), paints_(std::move(paints)), rows_(paints_.size(), Row(3 * b.n)) {}

  void draw_all(const Moment& now) {
    for (std::size_t p = 0; p < paints_.size(); ++p) paints_[p]->draw(now, rows_[p].data());
  }
  std::size_t size() const { return paints_.size(); }
  const double* pixel(std::size_t paint, std::size_t i) const { return rows_[paint].data() + 3 * i; }
  const Bench& bench_;

 private:
  std::vector<Paint*> paints_;
  std::vector<Row> rows_;
};

class Bands : public Choice {
 public:
  Bands(const Bench& b, Length width, double speed, std::vector<Paint*> paints, bool soft)
      : Choice(b, std::move(paints)), width_(width), speed_(speed), soft_(soft) {}
  void draw(const Moment& now, double* light) override {
    draw_all(now);
    const Row& u = bench_.place[width_.unit];
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double y = (u[i] - speed_ * now.s) / width_.value - (soft_ ? 0.5 : 0);
      const double c = std::floor(y);
      const double* a = pixel(band(c), i);
      const double* b = pixel(band(c + 1), i);
      for (std::size_t k = 0; k < 3; ++k) light[3 * i + k] = soft_ ? lerp(a[k], b[k], y - c) : a[k];
    }
  }

 private:
  std::size_t band(double c) const {
    const std::int64_t n = std::int64_t(size()), k = std::int64_t(c) % n;
    return std::size_t(k < 0 ? k + n : k);
  }

  Length width_;
  double speed_;
  bool soft_;
};

// Stops at `at`, 0 to 1 and not falling; none given: evenly spaced.
class Ramp : public Choice {
 public:
  Ramp(const Bench& b, std::vector<Paint*> paints, std::vector<double> at, Space space)
      : Choice(b, std::move(paints)), at_(std::move(at)), mixer_(space) {}
  void draw(const Moment& now, double* light) override {
    draw_all(now);
    for (std::size_t i = 0; i < bench_.n; ++i) {
      std::size_t j = 0;
      double part = 0;
      if (at_.empty())
        even(bench_.x[i], j, part);
      else
        placed(bench_.x[i], j, part);
      const double* a = pixel(j, i);
      if (part < 0 || j + 1 == size())
        std::copy(a, a + 3, light + 3 * i);
      else
        mixer_.mix(a, pixel(j + 1, i), part, light + 3 * i);
    }
  }

 private:
  void even(double x, std::size_t& j, double& part) const {
    if (size() < 2) return;
    const double p = x * double(size() - 1);
    j = std::min(std::size_t(p), size() - 2);
    part = p - double(j);
  }

  // part is below 0 where a stop's own paint shows.
  void placed(double x, std::size_t& j, double& part) const {
    while (j + 1 < size() && at_[j + 1] <= x) ++j;
    part = x < at_[0] || j + 1 == size() ? -1 : (x - at_[j]) / (at_[j + 1] - at_[j]);
  }

  std::vector<double> at_;
  Mixer mixer_;
};

class Hearth : public Paint {
 public:
  Hearth(Bench& b, Paint* from, Paint* to, Length grain, double speed)
      : bench_(b), from_(from), to_(to), grain_(grain), speed_(speed), number_(b.numbers.take()), light_(3 * b.n) {}
  void draw(const Moment& now, double* light) override {
    from_->draw(now, light);
    to_->draw(now, light_.data());
    const Row& u = bench_.place[grain_.unit];
    double cell = 0, low = 0, high = 0;
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double y = (u[i] - speed_ * now.s) / grain_.value, c = std::floor(y);
      if (!i || c != cell) {
        cell = c;
        low = value(c);
        high = value(c + 1);
      }
      const double n = low + (high - low) * (y - c);
      for (std::size_t k = 3 * i; k < 3 * i + 3; ++k) light[k] = lerp(light[k], light_[k], n * n);
    }
  }

 private:
  double value(double cell) const { return stage::noise(number_, 0, std::uint64_t(std::int64_t(cell))); }

  const Bench& bench_;
  Paint *from_, *to_;
  Length grain_;
  double speed_;
  std::uint64_t number_;
  Row light_;
};

class Shade : public Paint {
 public:
  Shade(const Bench& b, Paint* of, Signal* by) : bench_(b), of_(of), by_(by), weight_(b.n) {}
  void draw(const Moment& now, double* light) override {
    of_->draw(now, light);
    by_->draw(now, weight_.data());
    for (std::size_t k = 0; k < 3 * bench_.n; ++k) light[k] = light[k] * weight_[k / 3];
  }

 private:
  const Bench& bench_;
  Paint* of_;
  Signal* by_;
  Row weight_;
};

// The hilt half, reflected.
class Mirror : public Paint {
 public:
  Mirror(const Bench& b, Paint* of) : bench_(b), of_(of) {}
  void draw(const Moment& now, double* light) override {
    of_->draw(now, light);
    for (std::size_t i = 0; i < bench_.n / 2; ++i)
      std::copy(light + 3 * i, light + 3 * i + 3, light + 3 * (bench_.n - 1 - i));
  }

 private:
  const Bench& bench_;
  Paint* of_;
};

}  // namespace wick::engine
#endif
