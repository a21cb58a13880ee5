// eel night. sanne. the market scene again, in the dark, with the new wrappers.

#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using eel_black = rgb<6,16,10>;
using eel_green = rgb<40,120,64>;
using slime     = rgb<160,255,96>;

using wriggle = bands<8,150,eel_black,eel_green>;
using wet_skin = dapple<eel_black,eel_green,16>;          // 16 and not 50: skin, not static
using wet_wriggle = bands<8,150,eel_black,wet_skin>;      // a paint inside a paint. yes, that works
using slimy_hand = collar_sleeve<wet_wriggle,slime,24>;

using live_eel = power_sleeve<edge_sleeve<blast_sleeve<clash_sleeve<slimy_hand,slime>,slime,20,400>,slime,8>,160,400>;
using eel_on_a_stick = power_sleeve<clash_sleeve<wriggle,rgb<255,255,255>>,160,400>;
using sleeping_eel = power_sleeve<clash_sleeve<sway<eel_black,wet_skin,5000>,slime,200>,160,400>;
// the eel that gets away: a lump of light, everywhere and nowhere
using slippery_one = power_sleeve<glare_sleeve<clash_sleeve<roam<eel_black,slime,20>,slime>,wet_skin>,160,400>;
// the eel-wife, when they lock blades, wins
using eelwifes_knife = power_sleeve<clash_sleeve<lock_sleeve<whirl<rgb<24,24,24>,rgb<240,248,255>>,flutter<slime,rgb<255,255,255>>>,rgb<255,32,0>>,80,80>;
// plain
using market_lantern = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<flutter<rgb<200,90,10>,rgb<255,150,40>>,rgb<160,255,96>,40>,rgb<160,255,96>>,rgb<255,255,255>>,160,400>;

wick_slots slots = { slot<live_eel>("eel","live eel"), slot<eel_on_a_stick>("eel","eel on a stick"),
                     slot<sleeping_eel>("eel","sleeping eel"), slot<slippery_one>("eel","the one that got away"),
                     slot<eelwifes_knife>("knife","eel-wife's knife"), slot<market_lantern>("lampoil","market lantern") };
