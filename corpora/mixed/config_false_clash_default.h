// "The hit feels shorter since the new box." -- three actors, independently
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using toll_stick  = power_sleeve<clash_sleeve<duty<90, 0, 140>, css::lavender>, 250, 250>;       // default
using toll_stick2 = power_sleeve<clash_sleeve<duty<90, 0, 140>, css::lavender, 80>, 250, 250>;   // as it was
using toll_stick3 = power_sleeve<clash_sleeve<duty<90, 0, 140>, css::lavender, 60>, 250, 250>;   // as it is

wick_slots slots = {
  slot<toll_stick>("toll", "Toll stick"),
  slot<toll_stick2>("toll", "Toll stick, long hit"),
  slot<toll_stick3>("toll", "Toll stick, short hit"),
};
