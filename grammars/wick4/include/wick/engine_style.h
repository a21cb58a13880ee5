// engine_style.h: a whole style: ground, sheets, power with its transitions, and the player of one scene. See engine.h.
#ifndef WICK_ENGINE_STYLE_H
#define WICK_ENGINE_STYLE_H
#include "engine_events.h"
#include "engine_paints.h"

namespace wick::engine {

// A paint laid on what is below: source-over by its weight, or added (W3C plus-lighter).
struct Sheet {
  Paint* paint;
  Signal* weight;
  bool plus;
};

// ---- power ----------------------------------------------------------------------------------

enum class Move { CUT, WIPE, DISSOLVE, IRIS, REST };

struct Step {
  Move move;
  std::int64_t over;  // microseconds
  Length soft;        // of a wipe
  double at;          // of an iris, 0 to 1
};

// One step, or a chain of them: paints[k] shows between steps k and k + 1.
struct Transition {
  std::vector<Step> steps;
  std::vector<Paint*> paints;

  std::int64_t length() const {
    std::int64_t sum = 0;
    for (const Step& s : steps) sum += s.over;
    return sum;
  }
};

// How much of the blade is lit: q rises with an ignition, falls with a retraction, and a mask follows it.
class Power {
 public:
  Power(const Bench& b, Transition rise, Transition fall)
      : bench_(b), rise_(std::move(rise)), fall_(std::move(fall)), mask_(b.n) {
    read_events();
  }

  // Before the sheets: the edge rides on it.
  void go_to(const Moment& now) {
    std::size_t k = turns_.size();
    while (k && turns_[k - 1].at > now.us) --k;
    const Turn turn = k ? turns_[k - 1] : Turn{0, 0, false};
    rising_ = turn.up;
    q_ = k ? progress(turn, now.us) : 0;
    step_ = nullptr;
    if (q_ > 0 && q_ < 1) find_step();
  }

  // Cuts the style's light, and plays the paints of chains.
  void draw(const Moment& now, double* light) {
    draw_chain(now, rise_, rise_rows_);
    draw_chain(now, fall_, fall_rows_);
    if (q_ >= 1) return;
    if (!step_) {
      std::fill(light, light + 3 * bench_.n, 0.0);
      return;
    }
    const std::size_t last = (rising_ ? rise_ : fall_).steps.size() - 1;
    const std::vector<Row>& rows = rising_ ? rise_rows_ : fall_rows_;
    // What shows before and after the step; a missing one is dark.
    const double* before = index_ ? rows[index_ - 1].data() : rising_ ? nullptr : light;
    const double* after = index_ < last ? rows[index_].data() : rising_ ? light : nullptr;
    const double* top = rising_ ? after : before;
    const double* under = rising_ ? before : after;
    draw_mask();
    for (std::size_t k = 0; k < 3 * bench_.n; ++k)
      light[k] = lerp(under ? under[k] : 0, top ? top[k] : 0, mask_[k / 3]);
  }

  // 1 on the band of lit blade that ends at the moving edge.
  void draw_edge(Length width, double* weight) const {
    std::fill(weight, weight + bench_.n, 0.0);
    const double q = step_q_;
    if (!step_ || width.value <= 0 || !(q > 0 && q < 1)) return;
    const Row& u = bench_.place[width.unit];
    const double full = bench_.full[width.unit], pos = step_->at, open = q * std::max(pos, 1 - pos);
    const double s = soft_share(), head = s > 0 ? q * (1 + s) : q;
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double x = bench_.x[i], d = std::fabs(x - pos);
      if (step_->move == Move::WIPE) weight[i] = x < head && u[i] >= head * full - width.value;
      if (step_->move == Move::IRIS) weight[i] = d < open && d * full >= open * full - width.value;
    }
  }

 private:
  // An event that counted: from its time on, q moves from q0.
  struct Turn {
    std::int64_t at;
    double q0;
    bool up;
  };

  double progress(const Turn& turn, std::int64_t t) const {
    const std::int64_t over = (turn.up ? rise_ : fall_).length();
    if (!over) return turn.up ? 1 : 0;
    const double gone = double(t - turn.at) / double(over);
    return turn.up ? std::min(1.0, turn.q0 + gone) : std::max(0.0, turn.q0 - gone);
  }

  void read_events() {
    std::vector<Turn> all;
    for (const stage::Occurrence& o : bench_.scene.all(stage::IGNITE)) all.push_back({o.start, 0, true});
    for (const stage::Occurrence& o : bench_.scene.all(stage::RETRACT)) all.push_back({o.start, 0, false});
    std::stable_sort(all.begin(), all.end(), [](const Turn& a, const Turn& b) { return a.at < b.at; });
    for (Turn turn : all) {
      const bool up = !turns_.empty() && turns_.back().up;
      if (turn.up == up) continue;
      turn.q0 = turns_.empty() ? 0 : progress(turns_.back(), turn.at);
      turns_.push_back(turn);
    }
  }

  // The step that holds the present, and its own q.
  void find_step() {
    const Transition& t = rising_ ? rise_ : fall_;
    index_ = 0;
    step_ = &t.steps[0];
    step_q_ = q_;
    if (t.steps.size() == 1) return;
    const double e = (rising_ ? q_ : 1 - q_) * double(t.length());
    double start = 0;
    while (index_ + 1 < t.steps.size() && e >= start + double(t.steps[index_].over))
      start += double(t.steps[index_++].over);
    step_ = &t.steps[index_];
    const double part = step_->over ? (e - start) / double(step_->over) : 1;
    step_q_ = rising_ ? part : 1 - part;
  }

  double soft_share() const { return step_->soft.value / bench_.full[step_->soft.unit]; }

  void draw_mask() {
    const double q = step_q_, s = soft_share(), pos = step_->at, open = q * std::max(pos, 1 - pos);
    for (std::size_t i = 0; i < bench_.n; ++i) {
      const double x = bench_.x[i];
      switch (step_->move) {
        case Move::WIPE: mask_[i] = s > 0 ? clamp01((q * (1 + s) - x) / s) : x < q; break;
        case Move::IRIS: mask_[i] = std::fabs(x - pos) < open; break;
        case Move::DISSOLVE: mask_[i] = q; break;
        case Move::REST:
        case Move::CUT: mask_[i] = rising_ ? q >= 1 : q > 0; break;
      }
    }
  }

  void draw_chain(const Moment& now, const Transition& t, std::vector<Row>& rows) const {
    rows.resize(t.paints.size(), Row(3 * bench_.n));
    for (std::size_t k = 0; k < rows.size(); ++k) t.paints[k]->draw(now, rows[k].data());
  }

  const Bench& bench_;
  Transition rise_, fall_;
  std::vector<Turn> turns_;
  std::vector<Row> rise_rows_, fall_rows_;
  Row mask_;
  bool rising_ = false;
  double q_ = 0, step_q_ = 0;
  const Step* step_ = nullptr;  // null at rest
  std::size_t index_ = 0;
};

class EdgeBand : public Signal {
 public:
  EdgeBand(const Bench& b, Length width) : bench_(b), width_(width) {}
  void draw(const Moment&, double* weight) override {
    if (bench_.power)
      bench_.power->draw_edge(width_, weight);
    else
      std::fill(weight, weight + bench_.n, 0.0);
  }

 private:
  const Bench& bench_;
  Length width_;
};

// ---- the player -----------------------------------------------------------------------------

class Player {
 public:
  explicit Player(const stage::Scene& scene)
      : bench(scene), light_(3 * bench.n), paint_(3 * bench.n), weight_(bench.n) {}

  void draw(std::int64_t us, unsigned char* rgb) {
    const Moment now = {us, double(us) / 1e6};
    if (power_) power_->go_to(now);
    ground->draw(now, light_.data());
    for (const Sheet& sheet : sheets) lay(sheet, now);
    if (power_) power_->draw(now, light_.data());
    for (std::size_t k = 0; k < light_.size(); ++k)
      rgb[k] = (unsigned char)(std::floor(255 * clamp01(light_[k]) + 0.5));
  }

  void set_power(Transition rise, Transition fall) {
    power_ = std::make_unique<Power>(bench, std::move(rise), std::move(fall));
    bench.power = power_.get();
  }

  Bench bench;
  Paint* ground = nullptr;
  std::vector<Sheet> sheets;

 private:
  void lay(const Sheet& sheet, const Moment& now) {
    sheet.paint->draw(now, paint_.data());
    sheet.weight->draw(now, weight_.data());
    for (std::size_t k = 0; k < light_.size(); ++k) {
      const double w = weight_[k / 3];
      light_[k] = sheet.plus ? std::min(1.0, light_[k] + w * paint_[k]) : lerp(light_[k], paint_[k], w);
    }
  }

  std::unique_ptr<Power> power_;
  Row light_, paint_, weight_;
};

}  // namespace wick::engine
#endif
