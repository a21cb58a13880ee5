#include <wick/pile.h>
constexpr int blade_pixels = 132;

// no WICK_GENERATION, no pitch, names qualified throughout
using ferry_bell = wick::pile<
  wick::blend<wick::css::saddlebrown, wick::css::gold, wick::sound<80>>,
  wick::on<wick::ev::clash, wick::css::white, wick::burst<80>>,
  wick::power<wick::wipe<400>, wick::wipe<400>>>;

wick::wick_slots slots = { wick::slot<ferry_bell>("bell", "Ferry bell") };
