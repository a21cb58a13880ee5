// config.h: the slot table of a config of generation 3, and the performer that plays one style.
#ifndef WICK3_CONFIG_H
#define WICK3_CONFIG_H
#include "sheets.h"

#include <initializer_list>

namespace wick {

// One row of the table: the folder of a style's sounds, and the label that the prop shows.
struct wick_slot {
  const char *sounds, *label;
};

template <class STYLE>
inline wick_slot slot(const char* sounds, const char* label) {
  WICK_NEED((detail::is<detail::style, STYLE>::value || detail::is<detail::paint, STYLE>::value ||
             detail::is<detail::sleeve, STYLE>::value),
            "slot<STYLE>: STYLE must be a style");
  return wick_slot{sounds, label};
}

class wick_slots {
 public:
  wick_slots(std::initializer_list<wick_slot> rows) : rows_(rows) {}
  std::size_t size() const { return rows_.size(); }
  const wick_slot& operator[](std::size_t i) const { return rows_[i]; }

 private:
  std::vector<wick_slot> rows_;
};

namespace detail {

// Only a style that is cut by power has something to say before its row; a bare paint or sleeve is always lit.
template <class STYLE>
void begin_style(bench& b, STYLE& s, std::true_type) {
  s.begin(b);
}
template <class STYLE>
void begin_style(bench&, STYLE&, std::false_type) {}

inline unsigned char duty_of(std::uint16_t v) {
  return static_cast<unsigned char>(static_cast<int>(255 * (v / 65535.0) + 0.5));
}

WICK_SHARED void output(const bench& b, const light* row, unsigned char* out) {
  for (int i = 0; i < b.n; ++i) {
    out[3 * i] = duty_of(row[i].r);
    out[3 * i + 1] = duty_of(row[i].g);
    out[3 * i + 2] = duty_of(row[i].b);
  }
}

}  // namespace detail
}  // namespace wick

using wick::wick_slots;

template <class STYLE>
class wick_performer {
  WICK_NEED((wick::detail::is<wick::detail::style, STYLE>::value ||
             wick::detail::is<wick::detail::paint, STYLE>::value ||
             wick::detail::is<wick::detail::sleeve, STYLE>::value),
            "wick_performer<STYLE>: STYLE must be a style");

 public:
  explicit wick_performer(const stage::Scene& scene) : bench_(scene), style_(bench_), row_(bench_.lights()) {}
  void draw(std::int64_t t_us, unsigned char* out) {
    bench_.tick(t_us);
    wick::detail::begin_style(bench_, style_, wick::detail::is<wick::detail::style, STYLE>());
    style_.row(bench_, row_);
    wick::detail::output(bench_, row_, out);
  }

 private:
  wick::detail::bench bench_;
  STYLE style_;
  wick::detail::light* row_;
};
#endif
