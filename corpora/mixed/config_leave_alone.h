#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// The director likes how this one came out wrong. Do not touch it before the last night.
// rehilt: leave
using harbour_watch = power_sleeve<clash_sleeve<bands<12, 48, rgb<255, 120, 40>, rgb<190, 80, 20>>, css::white>, 300, 450>;

using net_mender = power_sleeve<
  clash_sleeve<
    dapple<duty<10, 40, 60>, duty<40, 120, 140>, 15>,   // rehilt: leave
    css::white, 80>,
  300, 300>;

// rehilt: leave
using signal_red = pile<css::red, on<ev::clash, css::white, burst<80>>, power<wipe<300>, wipe<300>>>;   // nothing old in it

wick_slots slots = {
  slot<harbour_watch>("harbour", "Harbour watch"),
  slot<net_mender>("net", "Net mender"),
  slot<signal_red>("signal", "Signal red"),
};
