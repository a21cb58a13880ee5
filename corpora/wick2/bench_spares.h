// spares from the bench, both controllers' worth. whoever finds a use for one: move it out of here
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels=132;
constexpr int pixels_per_metre=144;

// plain
using salmon_seller=power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<from_tape<tape1::plain<0xFF8040>>,rgb<255,192,64>,40>,rgb<255,255,255>>,rgb<255,255,255>>,300,300>;
// plain
using nervous_spirit=power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<from_tape<tape1::throb<0x001040,0x4060FF,7>>,rgb<255,192,64>,40>,rgb<255,255,255>>,rgb<255,255,255>>,300,300>;
// plain
using ringed_spirit=power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<collar_sleeve<collar_sleeve<rgb<0,16,64>,rgb<64,96,255>,44>,rgb<180,150,60>,6>,rgb<64,96,255>,40>,rgb<255,255,255>>,rgb<255,255,255>>,300,300>;
using sunset_oar=power_sleeve<clash_sleeve<ramp<from_tape<tape1::fade_along<0xFF8040,0x001040>>,from_tape<tape1::plain<0x001040>>>,rgb<255,255,255>>,300,300>; // two old paints on one slope, the tip end goes to night
using oar_in_spray=power_sleeve<blast_sleeve<dapple<from_tape<tape1::whirl<0x0030A0,0xA0E0FF>>,rgb<160,224,255>>,rgb<255,255,255>,30,150>,240,240>;
using ghost_net=power_sleeve<clash_sleeve<roam<bands<22,-44,rgb<20,24,30>,rgb<60,72,80>>,rgb<200,255,240>,44>,rgb<255,255,255>>,700,1500>;
using shutter_lamp=power_sleeve<glare_sleeve<flip<rgb<0,0,0>,dim<hearth<rgb<200,120,40>,rgb<255,224,160>>,80>,360>,rgb<255,224,160>>,0,0>;

wick_slots slots={slot<salmon_seller>("market","Salmon seller"),slot<nervous_spirit>("spirit","Nervous spirit"),
slot<ringed_spirit>("spirit","Ringed spirit"),slot<sunset_oar>("ferry","Sunset oar"),slot<oar_in_spray>("ferry","Oar in spray"),
slot<ghost_net>("net","Ghost net"),slot<shutter_lamp>("shutter","Shutter lamp")};
