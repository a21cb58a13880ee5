// Generation 3 config. The three at the bottom came out of Marit's old box and were never rewritten.
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using harbour_watch = pile<
  bands<91, 364, duty<255, 120, 40>, duty<190, 80, 20>>,
  on<ev::clash, css::floralwhite, burst<80>>,
  spot<ev::blast, css::cornsilk, 68, hit<0, 300>>,
  power<wipe<300>, wipe<450>>>;

// --- old box ---
using mooring_pole = power_sleeve<clash_sleeve<ramp<css::navy, css::aliceblue>, css::white, 80>, 300, 300>;
using net_mender = power_sleeve<blast_sleeve<dapple<duty<10, 40, 60>, duty<40, 120, 140>, 15>, css::white>, 300, 300>;
using wreck_light = power_sleeve<edge_sleeve<flip<css::red, css::black, 800>, css::orange, 5>, 300, 900>;

wick_slots slots = {
  slot<harbour_watch>("harbour", "Harbour watch"),
  slot<mooring_pole>("quiet", "Mooring pole"),
  slot<net_mender>("net", "Net mender"),
  slot<wreck_light>("wreck", "Wreck light"),
};
