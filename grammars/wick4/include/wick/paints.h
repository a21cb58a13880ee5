// paints.h: the colour literals and paints of wick 4. How they are checked and named: tags.h.
#ifndef WICK_PAINTS_H
#define WICK_PAINTS_H
#include "css_names.h"
#include "tags.h"

namespace wick {

// Spaces, and kinds of edge, named by template: `in<srgb>`, `edges<soft>`. srgb and soft are values and tags besides.
template <auto... V>
struct oklab;
template <auto... V>
struct linear;
template <class... V>
struct hard;

namespace detail {

struct css_entry {
  const char* name;
  std::uint32_t rgb;
};

#define WICK_CSS_ENTRY(name, value) {#name, value},
inline constexpr css_entry css_table[] = {WICK_CSS_NAMES(WICK_CSS_ENTRY)};
#undef WICK_CSS_ENTRY

constexpr bool same(const char* a, const char* b) {
  while (*a && *a == *b) ++a, ++b;
  return *a == *b;
}

// 0xRRGGBB, or -1 where CSS has no such name.
constexpr std::int64_t css_value(const char* name) {
  for (const css_entry& e : css_table)
    if (same(e.name, name)) return e.rgb;
  return -1;
}

template <auto V>
inline constexpr bool code = real<V>() >= 0 && real<V>() <= 255;

// A body whose light() is one colour.
template <class BODY>
struct literal : paint {
  static engine::Paint* make(engine::Bench& b) { return b.own(new engine::Plain(b, BODY::light())); }
};

template <std::uint32_t RGB>
struct packed : literal<packed<RGB>> {
  static engine::Rgb light() { return engine::from_srgb(int(RGB >> 16), int(RGB >> 8 & 255), int(RGB & 255)); }
};

}  // namespace detail

namespace made {

// ---- colour literals ------------------------------------------------------------------------

#define WICK_CODES(name)                                                                                         \
  static_assert(sizeof...(V) == 3, "wick: " name "<...> takes three channels");                                  \
  static_assert((detail::whole_number<decltype(V)> && ...), "wick: " name "<...> takes plain integers");          \
  static_assert((detail::code<V> && ...), "wick: a channel of " name "<...> is 0 to 255")

template <auto... V>
struct srgb : detail::literal<srgb<V...>> {
  WICK_CODES("srgb");
  static engine::Rgb light() { return engine::from_srgb(int(V)...); }
};

template <auto... V>
struct duty : detail::literal<duty<V...>> {
  WICK_CODES("duty");
  static engine::Rgb light() { return {(double(V) / 255.0)...}; }
};

template <auto L, auto C, auto H>
struct oklch : detail::literal<oklch<L, C, H>> {
  static_assert(detail::number<decltype(L)> && detail::number<decltype(C)> && detail::number<decltype(H)>,
                "wick: oklch<L, C, H> takes numbers");
  static_assert(detail::real<L>() >= 0 && detail::real<L>() <= 1, "wick: the L of oklch<L, C, H> is 0 to 1");
  static_assert(detail::real<C>() >= 0, "wick: the C of oklch<L, C, H> is not negative");
  static engine::Rgb light() { return engine::from_oklch(detail::real<L>(), detail::real<C>(), detail::real<H>()); }
};

template <detail::text NAME>
struct named : detail::literal<named<NAME>> {
  static constexpr std::int64_t value = detail::css_value(NAME.letters);
  static_assert(value >= 0, "wick: named<\"...\"> is not one of the 148 CSS Color Level 4 names, in lower case");
  static engine::Rgb light() { return detail::packed<std::uint32_t(value)>::light(); }
};

}  // namespace made

template <auto... V>
using srgb = detail::checked<made::srgb<V...>>;
template <auto... V>
using duty = detail::checked<made::duty<V...>>;
template <auto L, auto C, auto H>
using oklch = detail::checked<made::oklch<L, C, H>>;
template <detail::text NAME>
using named = detail::checked<made::named<NAME>>;

// ---- in, edges, stop ------------------------------------------------------------------------

namespace detail {

template <template <auto...> class SPACE>
inline constexpr int space_of = -1;
template <>
inline constexpr int space_of<oklab> = int(engine::Space::OKLAB);
template <>
inline constexpr int space_of<linear> = int(engine::Space::LINEAR);
template <>
inline constexpr int space_of<srgb> = int(engine::Space::SRGB);

template <template <class...> class EDGES>
inline constexpr int edges_of = -1;
template <>
inline constexpr int edges_of<hard> = 0;
template <>
inline constexpr int edges_of<soft> = 1;

}  // namespace detail

namespace made {

template <template <auto...> class SPACE>
struct in : detail::tag<Tag::in> {
  static_assert(detail::space_of<SPACE> >= 0, "wick: in<...> takes oklab, linear or srgb");
  static constexpr engine::Space space = engine::Space(detail::space_of<SPACE>);
};

template <template <class...> class EDGES>
struct edges : detail::tag<Tag::edges> {
  static_assert(detail::edges_of<EDGES> >= 0, "wick: edges<...> takes hard or soft");
  static constexpr bool is_soft = detail::edges_of<EDGES> == 1;
};

template <class AT, class PAINT>
struct stop : detail::stop {
  static_assert(detail::tag_of<AT> == Tag::at, "wick: stop<...> puts at<pct<...>> first");
  static_assert(is<detail::paint, PAINT>, "wick: stop<at<...>, PAINT> takes a paint");
  static constexpr double place() {
    if constexpr (AT::place)
      return AT::of::share;
    else
      return -1;
  }
  static_assert(place() >= 0, "wick: stop<...> takes at<pct<...>>");
  static engine::Paint* make(Bench& b) { return PAINT::make(b); }
};

// ---- paints ---------------------------------------------------------------------------------

template <class... TAGS>
constexpr engine::Space space_in() {
  if constexpr (detail::has<Tag::in, TAGS...>)
    return detail::get<Tag::in, TAGS...>::space;
  else
    return engine::Space::OKLAB;
}

template <class A, class B, class... TAGS>
struct blend : detail::paint {
  static_assert(is<detail::paint, A> && is<detail::paint, B>, "wick: blend<A, B, ...> begins with two paints");
  WICK_TAGS("blend", Tag::by, Tag::in);
  WICK_NEEDS("blend", by);
  static engine::Paint* make(Bench& b) {
    engine::Paint* const from = A::make(b);
    engine::Paint* const to = B::make(b);
    engine::Signal* const by = detail::get<Tag::by, TAGS...>::of::make(b);
    return b.own(new engine::Blend(b, from, to, by, space_in<TAGS...>()));
  }
};

template <class... TAGS>
struct bands : detail::paint {
  WICK_TAGS("bands", Tag::paints, Tag::width, Tag::speed, Tag::edges);
  WICK_NEEDS("bands", paints);
  WICK_NEEDS("bands", width);
  WICK_NEEDS("bands", speed);
  static constexpr double wide() {
    if constexpr (detail::has<Tag::width, TAGS...>)
      return detail::get<Tag::width, TAGS...>::of::value;
    else
      return 1;
  }
  static_assert(wide() > 0, "wick: the width of bands is above 0");
  static engine::Paint* make(Bench& b) {
    bool soft = false;
    if constexpr (detail::has<Tag::edges, TAGS...>) soft = detail::get<Tag::edges, TAGS...>::is_soft;
    return b.own(new engine::Bands(b, {wide(), engine::MM}, detail::get<Tag::speed, TAGS...>::of::value,
                                   detail::get<Tag::paints, TAGS...>::make(b), soft));
  }
};

template <class... TAGS>
struct ramp : detail::paint {
  static constexpr std::size_t stops = detail::operands<TAGS...>;
  static constexpr bool placed = (is<detail::stop, TAGS> || ...);
  static_assert(stops > 0, "wick: ramp<...> needs at least one paint");
  static_assert(detail::operands_first<TAGS...>(), "wick: ramp<...> puts its paints before its tags");
  static_assert(((is<detail::paint, TAGS> || is<detail::stop, TAGS> || detail::tag_of<TAGS> != Tag::none) && ...),
                "wick: ramp<...> takes paints, or stops");
  static_assert(!placed || ((is<detail::stop, TAGS> || detail::tag_of<TAGS> != Tag::none) && ...),
                "wick: ramp<...> takes paints or stops, not both");
  static_assert(((detail::among({Tag::none, Tag::in}, detail::tag_of<TAGS>)) && ...),
                "wick: ramp has an argument here that is none of its tags");
  static_assert(detail::distinct<TAGS...>(), "wick: ramp has the same tag twice");

  template <class T>
  static constexpr double place_of() {
    if constexpr (is<detail::stop, T>)
      return T::place();
    else
      return 1;
  }
  static constexpr bool rising() {
    const double place[] = {place_of<TAGS>()..., 1};
    for (std::size_t i = 1; placed && i < stops; ++i)
      if (place[i] < place[i - 1]) return false;
    return true;
  }
  static_assert(rising(), "wick: the stops of ramp<...> must not fall");

  template <class T>
  static void add(Bench& b, std::vector<engine::Paint*>& to, std::vector<double>& at) {
    if constexpr (detail::tag_of<T> == Tag::none) to.push_back(T::make(b));
    if constexpr (is<detail::stop, T>) at.push_back(T::place());
  }
  static engine::Paint* make(Bench& b) {
    std::vector<engine::Paint*> shown;
    std::vector<double> at;
    (add<TAGS>(b, shown, at), ...);
    return b.own(new engine::Ramp(b, std::move(shown), std::move(at), space_in<TAGS...>()));
  }
};

template <class A, class B, class... TAGS>
struct hearth : detail::paint {
  static_assert(is<detail::paint, A> && is<detail::paint, B>, "wick: hearth<A, B, ...> begins with two paints");
  WICK_TAGS("hearth", Tag::grain, Tag::speed);
  WICK_NEEDS("hearth", grain);
  WICK_NEEDS("hearth", speed);
  static constexpr engine::Length length() {
    if constexpr (detail::has<Tag::grain, TAGS...>)
      return detail::get<Tag::grain, TAGS...>::length;
    else
      return {1, engine::MM};
  }
  static_assert(length().value > 0, "wick: the grain of hearth is a length, mm<...>");
  static engine::Paint* make(Bench& b) {
    engine::Paint* const from = A::make(b);
    engine::Paint* const to = B::make(b);
    return b.own(new engine::Hearth(b, from, to, length(), detail::get<Tag::speed, TAGS...>::of::value));
  }
};

template <class P, class... TAGS>
struct shade : detail::paint {
  static_assert(is<detail::paint, P>, "wick: shade<P, ...> begins with a paint");
  WICK_TAGS("shade", Tag::by);
  WICK_NEEDS("shade", by);
  static engine::Paint* make(Bench& b) {
    engine::Paint* const of = P::make(b);
    engine::Signal* const by = detail::get<Tag::by, TAGS...>::of::make(b);
    return b.own(new engine::Shade(b, of, by));
  }
};

template <class P>
struct mirror : detail::paint {
  static_assert(is<detail::paint, P>, "wick: mirror<P> takes a paint");
  static engine::Paint* make(Bench& b) {
    engine::Paint* const of = P::make(b);
    return b.own(new engine::Mirror(b, of));
  }
};

}  // namespace made

template <template <auto...> class SPACE>
using in = detail::checked<made::in<SPACE>>;
template <template <class...> class EDGES>
using edges = detail::checked<made::edges<EDGES>>;
template <class AT, class PAINT>
using stop = detail::checked<made::stop<AT, PAINT>>;
template <class A, class B, class... TAGS>
using blend = detail::checked<made::blend<A, B, TAGS...>>;
template <class A, class B, class... TAGS>
using hearth = detail::checked<made::hearth<A, B, TAGS...>>;
template <class P, class... TAGS>
using shade = detail::checked<made::shade<P, TAGS...>>;
WICK_NAME_PACK(bands);
WICK_NAME_PACK(ramp);
WICK_NAME_CLASS(mirror);

}  // namespace wick
#endif
