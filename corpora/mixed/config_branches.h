// One file for both boxes. The build says which: -D NEW_BOX=1
#if defined(NEW_BOX) && NEW_BOX
#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;
#else
#define WICK_GENERATION 2
#include <wick2.h>
#endif

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

#if WICK_GENERATION >= 3
using tide_staff = pile<
  bands<250, 758, duty<0, 70, 200>, duty<0, 35, 100>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<300>, wipe<300>>>;
#else
using tide_staff = power_sleeve<
  clash_sleeve<
    bands<33, 100, rgb<0, 70, 200>, rgb<0, 35, 100>>,
    rgb<255, 255, 255>>,
  300, 300>;
#endif

#ifdef NEVER_DEFINED_ANYWHERE
using tide_staff_plan = tape<barber<0x0046C8, 0x002364, 33, 2>>;   // somebody's plan, wrong generation for both
#endif

wick_slots slots = { slot<tide_staff>("tide", "Tide staff") };
