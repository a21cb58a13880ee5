// Tam: "I need the tape for the lamps and the sleeves for the staffs, so both."
#define WICK_GENERATION 2
#include <wick2.h>
#include <wick1.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

typedef tape<jitter<0xFF9020, 0xFF6000>, 0xFFFFD0> boathouse_fire;
using tide_staff = power_sleeve<clash_sleeve<bands<33, 100, rgb<0, 70, 200>, rgb<0, 35, 100>>, rgb<255, 255, 255>>, 300, 300>;

wick_slots slots = { slot<tide_staff>("tide", "Tide staff") };
