// engine_events.h: what an event starts: its envelope, its place and strength, the sparks it throws. See engine.h.
#ifndef WICK_ENGINE_EVENTS_H
#define WICK_ENGINE_EVENTS_H
#include "engine_signals.h"

namespace wick::engine {

// The latest event of a kind that has started, or null.
inline const stage::Occurrence* latest(const Bench& bench, stage::Event kind, const Moment& now) {
  const int ordinal = bench.scene.latest(kind, now.us);
  return ordinal < 0 ? nullptr : &bench.scene.all(kind)[std::size_t(ordinal)];
}

inline bool is_held(stage::Event kind) { return kind == stage::LOCK || kind == stage::DRAG || kind == stage::MELT; }

class PlaceOf : public Even {
 public:
  PlaceOf(const Bench& b, stage::Event kind) : Even(b), kind_(kind) {}

 protected:
  double value(const Moment& now) override {
    const stage::Occurrence* o = latest(bench_, kind_, now);
    return o ? o->place : 0;
  }

 private:
  stage::Event kind_;
};

class StrengthOf : public Even {
 public:
  StrengthOf(const Bench& b, stage::Event kind) : Even(b), kind_(kind) {}

 protected:
  double value(const Moment& now) override {
    const stage::Occurrence* o = latest(bench_, kind_, now);
    return !o ? 0 : is_held(kind_) ? 1 : o->strength;
  }

 private:
  stage::Event kind_;
};

class Since : public Even {
 public:
  Since(const Bench& b, stage::Event kind, std::int64_t over) : Even(b), kind_(kind), over_(over) {}

 protected:
  double value(const Moment& now) override {
    const stage::Occurrence* o = latest(bench_, kind_, now);
    return o && over_ ? double(now.us - o->start) / double(over_) : 1;
  }

 private:
  stage::Event kind_;
  std::int64_t over_;
};

// ---- envelopes ------------------------------------------------------------------------------

// An envelope knows how long it takes to arrive: what sparks are thrown in.
struct Envelope : Signal {
  virtual std::int64_t length() const = 0;
};

enum class Form { BURST, HIT, HELD };

// BURST: `a` is its duration. HIT: attack and decay. HELD: attack and release. All in microseconds.
class Pulse : public Envelope {
 public:
  Pulse(const Bench& b, stage::Event kind, Form form, std::int64_t a, std::int64_t z)
      : bench_(b), kind_(kind), form_(form), a_(a), z_(z) {}

  void draw(const Moment& now, double* weight) override {
    const stage::Occurrence* o = latest(bench_, kind_, now);
    std::fill(weight, weight + bench_.n, o ? clamp01(value(*o, now.us)) : 0);
  }

  std::int64_t length() const override { return form_ == Form::HIT ? a_ + z_ : a_; }

 private:
  double value(const stage::Occurrence& o, std::int64_t t) const {
    const std::int64_t dt = t - o.start;
    switch (form_) {
      case Form::BURST: return dt < a_ ? 1 : 0;
      case Form::HIT:
        if (dt < a_) return double(dt) / double(a_);
        return z_ ? 1 - double(dt - a_) / double(z_) : 0;
      case Form::HELD: break;
    }
    if (t < o.end) return attacked(dt);
    return z_ ? attacked(o.end - o.start) * std::max(0.0, 1 - double(t - o.end) / double(z_)) : 0;
  }

  double attacked(std::int64_t dt) const { return a_ ? std::min(1.0, double(dt) / double(a_)) : 1; }

  const Bench& bench_;
  stage::Event kind_;
  Form form_;
  std::int64_t a_, z_;
};

struct Key {
  std::int64_t at;
  Signal* value;
};

// Keyframes since the event. Every key's signal is drawn at every frame: it may remember.
class Keyframes : public Envelope {
 public:
  Keyframes(const Bench& b, stage::Event kind, std::vector<Key> keys, const Curve& curve)
      : bench_(b), kind_(kind), keys_(std::move(keys)), curve_(curve), rows_(keys_.size(), Row(b.n)) {}

  void draw(const Moment& now, double* weight) override {
    for (std::size_t k = 0; k < keys_.size(); ++k) keys_[k].value->draw(now, rows_[k].data());
    const stage::Occurrence* o = latest(bench_, kind_, now);
    const std::int64_t dt = o ? now.us - o->start : 0;
    // Half open, as an event's interval: at the last key's own time an instant event is over.
    if (!o || (dt >= keys_.back().at && !(is_held(kind_) && now.us < o->end))) {
      std::fill(weight, weight + bench_.n, 0.0);
      return;
    }
    const std::size_t j = before(dt);
    const Row& from = rows_[j];
    if (dt < keys_.front().at || j + 1 == keys_.size()) {
      std::copy(from.begin(), from.end(), weight);
      return;
    }
    const Row& to = rows_[j + 1];
    const double part = curve_(double(dt - keys_[j].at) / double(keys_[j + 1].at - keys_[j].at));
    for (std::size_t i = 0; i < bench_.n; ++i) weight[i] = clamp01(from[i] + (to[i] - from[i]) * part);
  }

  std::int64_t length() const override { return keys_.back().at; }

 private:
  // The last key at or before dt; the first where dt is before all.
  std::size_t before(std::int64_t dt) const {
    std::size_t j = 0;
    while (j + 1 < keys_.size() && keys_[j + 1].at <= dt) ++j;
    return j;
  }

  const Bench& bench_;
  stage::Event kind_;
  std::vector<Key> keys_;
  Curve curve_;
  std::vector<Row> rows_;
};

// `count` one-pixel sparks thrown from the event's place, `reach` to either side; coinciding ones do not add.
class Scatter : public Signal {
 public:
  Scatter(Bench& b, stage::Event kind, Envelope* shape, int count, Length reach)
      : bench_(b), kind_(kind), shape_(shape), count_(count), reach_(reach), number_(b.numbers.take()), row_(b.n) {}

  void draw(const Moment& now, double* weight) override {
    shape_->draw(now, row_.data());
    std::fill(weight, weight + bench_.n, 0.0);
    const int ordinal = bench_.scene.latest(kind_, now.us);
    if (ordinal < 0) return;
    const stage::Occurrence& o = bench_.scene.all(kind_)[std::size_t(ordinal)];
    const std::int64_t length = shape_->length();
    const double spread = length ? std::min(1.0, double(now.us - o.start) / double(length)) : 1;
    const double r = reach_.value / bench_.full[reach_.unit];
    for (int j = 0; j < count_; ++j) {
      const double u = stage::noise(number_, std::uint64_t(ordinal), std::uint64_t(j));
      const double pixel = std::floor((o.place + (r * (2 * u - 1)) * spread) * double(bench_.n));
      if (pixel >= 0 && pixel < double(bench_.n)) weight[std::size_t(pixel)] = row_[std::size_t(pixel)];
    }
  }

 private:
  const Bench& bench_;
  stage::Event kind_;
  Envelope* shape_;
  int count_;
  Length reach_;
  std::uint64_t number_;
  Row row_;
};

}  // namespace wick::engine
#endif
