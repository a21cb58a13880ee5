// tags.h: how wick 4 names an argument: the sorts, the units, the tags, and the checks that every construct makes.
//
// A construct's body stands in wick::made; the name that a style uses is an alias which completes the body, so that
// a mistake is reported where it is written, even in a style that no table names. A tag is a body too, and derives from
// detail::tag; whatever does not is an operand. One name can be tag and value (`soft<mm<60>>`, `edges<soft>`), because
// `in`, `edges` and `kind` take template names.
#ifndef WICK_TAGS_H
#define WICK_TAGS_H
#include <initializer_list>
#include <type_traits>

#include "engine_style.h"

namespace wick {

namespace detail {

// ---- sorts: what a body derives from --------------------------------------------------------

struct paint {};
struct signal {};
struct layer {};
struct ground : layer {};
struct power : layer {};
struct transition {};
struct curve {};
struct event {};
struct wave {};
struct stop {};
struct jump {};
struct style {};
struct slot {};

template <class SORT, class T>
inline constexpr bool is = __is_base_of(SORT, T);

// Completes T, and is T.
template <class T, std::size_t = sizeof(T)>
using checked = T;

// ---- tags -----------------------------------------------------------------------------------

enum class Tag {
  none, by, in, paints, width, speed, edges, grain, at, period, phase, lag, full, when, paint, shape, attack, decay,
  release, burst, keys, reach, over, soft, up, down, rise, fall, rate, kind, count, half_life, trail, scatter, easing,
  style, sounds, label
};

template <Tag NAME>
struct tag {};

template <Tag NAME>
constexpr Tag tag_from(const tag<NAME>*) { return NAME; }
constexpr Tag tag_from(const volatile void*) { return Tag::none; }

template <class T>
inline constexpr Tag tag_of = tag_from(static_cast<T*>(nullptr));

struct absent {};

template <class T>
struct found { using type = T; };

template <bool HERE>
struct look {
  template <class HEAD, class REST>
  using at = REST;
};
template <>
struct look<true> {
  template <class HEAD, class REST>
  using at = found<HEAD>;
};

template <Tag NAME, class... A>
struct search { using type = absent; };
template <Tag NAME, class HEAD, class... REST>
struct search<NAME, HEAD, REST...> : look<tag_of<HEAD> == NAME>::template at<HEAD, search<NAME, REST...>> {};

// The argument of that tag, or absent.
template <Tag NAME, class... A>
using get = typename search<NAME, A...>::type;

template <Tag NAME, class... A>
inline constexpr bool has = ((tag_of<A> == NAME) || ...);

template <class... A>
inline constexpr std::size_t operands = (std::size_t(tag_of<A> == Tag::none) + ... + 0);

constexpr bool among(std::initializer_list<Tag> names, Tag t) {
  for (Tag n : names)
    if (n == t) return true;
  return false;
}

// No tag twice; `free` may be repeated.
template <class... A>
constexpr bool distinct(Tag free = Tag::none) {
  const Tag seen[] = {tag_of<A>..., Tag::none};
  for (std::size_t i = 0; i < sizeof...(A); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (seen[i] == seen[j] && seen[i] != Tag::none && seen[i] != free) return false;
  return true;
}

// Operands stand before tags.
template <class... A>
constexpr bool operands_first() {
  const bool tagged[] = {(tag_of<A> != Tag::none)..., true};
  for (std::size_t i = 1; i < sizeof...(A); ++i)
    if (tagged[i - 1] && !tagged[i]) return false;
  return true;
}

// ---- numbers, text --------------------------------------------------------------------------

enum class Measure { ms, hz, mm, mm_s, pct, dps };

template <Measure KIND>
struct unit {};

template <class T, Measure KIND>
inline constexpr bool measures = is<unit<KIND>, T>;

template <class T>
inline constexpr bool whole_number = std::is_integral_v<T> && !std::is_same_v<T, bool>;
template <class T>
inline constexpr bool number = whole_number<T> || std::is_floating_point_v<T>;

template <auto V>
constexpr double real() {
  if constexpr (number<decltype(V)>)
    return double(V);
  else
    return 0;
}

// A decimal read to thousandths, half up.
constexpr std::int64_t thousandths(double v) { return std::int64_t(v * 1000 + 0.5); }

template <std::size_t N>
struct text {
  char letters[N];
  consteval text(const char (&s)[N]) { std::copy(s, s + N, letters); }
};

}  // namespace detail

// The tags of a construct: only these, none twice; and those that it cannot do without.
#define WICK_TAGS(construct, ...)                                                                            \
  static_assert(((::wick::detail::among({__VA_ARGS__}, ::wick::detail::tag_of<TAGS>)) && ...),             \
                "wick: " construct " has an argument here that is none of its tags");                        \
  static_assert(::wick::detail::distinct<TAGS...>(), "wick: " construct " has the same tag twice")
#define WICK_NEEDS(construct, name) \
  static_assert(::wick::detail::has<Tag::name, TAGS...>, "wick: " construct " needs " #name "<...>")

// ---- the bodies of units and tags -----------------------------------------------------------

namespace made {

using detail::Measure;
using detail::Tag;
using detail::is;
using detail::measures;
using engine::Bench;

template <auto V>
struct ms : detail::unit<Measure::ms> {
  static_assert(detail::number<decltype(V)>, "wick: ms<...> takes a number");
  static_assert(detail::real<V>() >= 0 && detail::real<V>() <= 10000000, "wick: ms<...> is 0 to 10000000");
  static constexpr std::int64_t us = detail::thousandths(detail::real<V>());
};

template <auto V>
struct hz : detail::unit<Measure::hz> {
  static_assert(detail::number<decltype(V)>, "wick: hz<...> takes a number");
  static_assert(detail::real<V>() >= 0.001 && detail::real<V>() <= 1000, "wick: hz<...> is 0.001 to 1000");
  static constexpr std::int64_t millihertz = detail::thousandths(detail::real<V>());
};

template <auto V>
struct mm : detail::unit<Measure::mm> {
  static_assert(detail::number<decltype(V)>, "wick: mm<...> takes a number");
  static_assert(detail::real<V>() >= 0 && detail::real<V>() <= 100000, "wick: mm<...> is 0 to 100000");
  static constexpr double value = detail::real<V>();
  static constexpr engine::Length length = {value, engine::MM};
};

template <auto V>
struct mm_s : detail::unit<Measure::mm_s> {
  static_assert(detail::number<decltype(V)>, "wick: mm_s<...> takes a number");
  static constexpr double value = detail::real<V>();
};

template <auto V>
struct pct : detail::unit<Measure::pct> {
  static_assert(detail::number<decltype(V)>, "wick: pct<...> takes a number");
  static_assert(detail::real<V>() >= 0 && detail::real<V>() <= 100, "wick: pct<...> is 0 to 100");
  static constexpr double share = detail::real<V>() / 100.0;
};

template <auto V>
struct dps : detail::unit<Measure::dps> {
  static_assert(detail::number<decltype(V)>, "wick: dps<...> takes a number");
  static_assert(detail::real<V>() > 0, "wick: dps<...> is above 0");
  static constexpr double value = detail::real<V>();
};

// A tag that holds one measure; `of` is what it holds.
#define WICK_MEASURE_TAG(name, measure)                                                                \
  template <class V>                                                                                   \
  struct name : detail::tag<Tag::name> {                                                               \
    static_assert(measures<V, Measure::measure>, "wick: " #name "<...> takes " #measure "<...>");       \
    using of = V;                                                                                      \
  }
WICK_MEASURE_TAG(width, mm);
WICK_MEASURE_TAG(reach, mm);
WICK_MEASURE_TAG(soft, mm);
WICK_MEASURE_TAG(speed, mm_s);
WICK_MEASURE_TAG(period, ms);
WICK_MEASURE_TAG(phase, pct);
WICK_MEASURE_TAG(lag, ms);
WICK_MEASURE_TAG(full, dps);
WICK_MEASURE_TAG(over, ms);
WICK_MEASURE_TAG(up, ms);
WICK_MEASURE_TAG(down, ms);
WICK_MEASURE_TAG(attack, ms);
WICK_MEASURE_TAG(decay, ms);
WICK_MEASURE_TAG(release, ms);
WICK_MEASURE_TAG(burst, ms);
WICK_MEASURE_TAG(half_life, ms);
WICK_MEASURE_TAG(rate, hz);

// A tag that holds one thing of a sort.
#define WICK_SORT_TAG(name, sort, words)                                              \
  template <class V>                                                                  \
  struct name : detail::tag<Tag::name> {                                              \
    static_assert(is<detail::sort, V>, "wick: " #name "<...> takes " words);           \
    using of = V;                                                                     \
  }
WICK_SORT_TAG(by, signal, "a signal");
WICK_SORT_TAG(when, event, "an event");
WICK_SORT_TAG(paint, paint, "a paint");
WICK_SORT_TAG(rise, transition, "a transition");
WICK_SORT_TAG(fall, transition, "a transition");
WICK_SORT_TAG(easing, curve, "a curve");
WICK_SORT_TAG(style, style, "a score");
#undef WICK_MEASURE_TAG
#undef WICK_SORT_TAG

template <class... P>
struct paints : detail::tag<Tag::paints> {
  static_assert(sizeof...(P) > 0, "wick: paints<...> needs at least one paint");
  static_assert((is<detail::paint, P> && ...), "wick: paints<...> takes paints");
  static std::vector<engine::Paint*> make(Bench& b) { return {P::make(b)...}; }
};

// A place in per cent, or a time in ms with the signal's value there.
template <class POSITION, class... W>
struct at : detail::tag<Tag::at> {
  static constexpr bool place = measures<POSITION, Measure::pct> && sizeof...(W) == 0;
  static constexpr bool key = measures<POSITION, Measure::ms> && sizeof...(W) == 1 && (is<detail::signal, W> && ...);
  static_assert(place || key, "wick: at<...> takes pct<...>, or in keys ms<...> and a signal");
  using of = POSITION;
  static engine::Key make_key(Bench& b) { return {POSITION::us, (W::make(b), ...)}; }
};

template <auto N>
struct count : detail::tag<Tag::count> {
  static_assert(detail::whole_number<decltype(N)>, "wick: count<...> takes a plain integer");
  static_assert(detail::real<N>() >= 1 && detail::real<N>() <= 65535, "wick: count<...> is 1 to 65535");
  static constexpr int value = int(detail::real<N>());
};

template <detail::text S>
struct sounds : detail::tag<Tag::sounds> {
  static constexpr const char* value = S.letters;
};

template <detail::text S>
struct label : detail::tag<Tag::label> {
  static constexpr const char* value = S.letters;
};

}  // namespace made

// ---- their names ----------------------------------------------------------------------------

#define WICK_NAME_AUTO(name) \
  template <auto V>          \
  using name = detail::checked<made::name<V>>
#define WICK_NAME_CLASS(name) \
  template <class V>          \
  using name = detail::checked<made::name<V>>
#define WICK_NAME_PACK(name) \
  template <class... V>      \
  using name = detail::checked<made::name<V...>>
WICK_NAME_AUTO(ms);
WICK_NAME_AUTO(hz);
WICK_NAME_AUTO(mm);
WICK_NAME_AUTO(mm_s);
WICK_NAME_AUTO(pct);
WICK_NAME_AUTO(dps);
WICK_NAME_AUTO(count);
WICK_NAME_CLASS(width);
WICK_NAME_CLASS(reach);
WICK_NAME_CLASS(soft);
WICK_NAME_CLASS(speed);
WICK_NAME_CLASS(period);
WICK_NAME_CLASS(phase);
WICK_NAME_CLASS(lag);
WICK_NAME_CLASS(full);
WICK_NAME_CLASS(over);
WICK_NAME_CLASS(up);
WICK_NAME_CLASS(down);
WICK_NAME_CLASS(attack);
WICK_NAME_CLASS(decay);
WICK_NAME_CLASS(release);
WICK_NAME_CLASS(burst);
WICK_NAME_CLASS(half_life);
WICK_NAME_CLASS(rate);
WICK_NAME_CLASS(by);
WICK_NAME_CLASS(when);
WICK_NAME_CLASS(paint);
WICK_NAME_CLASS(rise);
WICK_NAME_CLASS(fall);
WICK_NAME_CLASS(easing);
WICK_NAME_CLASS(style);
WICK_NAME_PACK(paints);
template <class POSITION, class... W>
using at = detail::checked<made::at<POSITION, W...>>;
template <detail::text S>
using sounds = detail::checked<made::sounds<S>>;
template <detail::text S>
using label = detail::checked<made::label<S>>;

}  // namespace wick
#endif
