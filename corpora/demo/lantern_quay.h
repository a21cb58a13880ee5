// lantern_quay.h -- prop blades of the Lantern Quay Players
// "The Ferryman's Nine Lamps", second season. One controller, fourteen styles, one prop table.
//
// Marit built the first eight in the spring, Joost the rest after the boathouse show.
// Anyone may tune a number; say why beside it, please.
//
// FLICKER: clash and the fast flames are bright and quick. The front-of-house notice stays up
// whenever these run, and the hall's own rules on flashing light come first.

#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 132;       // 36 inch tube, all of them now
constexpr int pixels_per_metre = 144;

// ---- house colours -------------------------------------------------------------------------

#define LAMP_OIL rgb<255, 28, 0>        // measured by eye against the real lamp on the quay steps
#define STRIKE_MS 60                    /* 80 looked lazy from row F */

constexpr int wipe_up = 300;
constexpr int wipe_down = 450;   // slower: Oskel lowers his arm while it goes out

using tide = rgb<0, 70, 200>;
using deep_tide = dim<tide, 50>;        // an alias on an alias; half is plenty in the dark scene
using foam = rgb<210, 240, 255>;
using bone = rgb<255,244,214>;
using oil_flame = flutter<LAMP_OIL, dim<LAMP_OIL, 75>>;

// ---- act one: the quay ---------------------------------------------------------------------

// Harbour watch's staff. Bands walk up the blade like light on ripples.
using harbour_watch = power_sleeve<
  blast_sleeve<
    clash_sleeve<
      bands<12, 48, rgb<255, 120, 40>, rgb<190, 80, 20>>,
      bone,          // not pure white: it fights the follow spot
      STRIKE_MS>,
    foam>,
  wipe_up, wipe_down>;

// The lamplighter's pole. Burns down to half and three quarters, never out.
using lamp_oil = power_sleeve<
	clash_sleeve<
		collar_sleeve<
			sway<LAMP_OIL, dim<LAMP_OIL, 50>, 2400 /* one slow breath */>,
			dim<LAMP_OIL, 75>,
			8>,
		rgb<255, 200, 120>>,
	wipe_up, 900>;

using low_wick = power_sleeve<clash_sleeve<oil_flame, bone>, 500, 700>;

// Oskel's ferry blade: dark water at the hilt, foam at the tip.
using ferrymans_blade = power_sleeve<
    blast_sleeve<
	clash_sleeve<ramp<deep_tide, tide, foam>, rgb<255, 255, 255>, 80>,   // 80 on purpose, do not drop
	rgb<255, 90, 0>, 9, 300>,                                            // so are these
    wipe_up,
    wipe_down
>;

using toll_stick = power_sleeve<clash_sleeve<rgb<90, 0, 140>, rgb<230, 200, 255>, 100>, 250, 250>;

// ---- act two: the fog ----------------------------------------------------------------------

// Fog bank: two greys a little apart. At 20 Hz it shimmered, at the default it only looks wet.
using fog_grey = rgb<96, 104, 110>;
using fog_bank = power_sleeve<
  /* nobody hits the fog, so no clash here */
  collar_sleeve< flutter<fog_grey, rgb<120, 128, 132>, 50>,   // 50 is what it does anyway
                 rgb<40, 44, 60>, 40 >,
  1200, 1600>;

// Foghorn: the horn "sounds" by swelling. 3.2 s is the length of the sample.
using foghorn = power_sleeve<
  blast_sleeve<
    clash_sleeve<
      sway<rgb<30, 20, 0>, rgb<255, 180, 40>, 3200>,
      LAMP_OIL>,
    rgb<255, 255, 200>, 33, 600 /* wide and slow, it is a horn */>,
  400, 400>;

// A core that two props share. Not in the table by itself.
using tide_core = collar_sleeve<bands<33, -66, tide, deep_tide, rgb<0, 110, 150>>, foam, 14>;

using tide_staff = power_sleeve<clash_sleeve<tide_core, foam, STRIKE_MS>, 600, 600>;

using ebb_staff = power_sleeve<
	blast_sleeve<
	    clash_sleeve<
	        tide_core,     // same water, other owner
	        rgb<255, 60, 60>>,
	    // the spatter: two bright colours by turns, a swing of the green from 200 to 255
	    flutter<rgb<255, 200, 160>, rgb<255, 255, 160>, 80>,
	    16, 240>,
	600, wipe_down>;

// ---- act three: the ninth lamp -------------------------------------------------------------

// Faster than the default flicker: Tam wanted it to look as if the wind were at it.
using gale_lantern = power_sleeve<
  clash_sleeve<
    collar_sleeve<
      flutter<rgb<255, 150, 30>, rgb<200, 84, 8>, 90>,
      rgb<255, 60, 0>,
      20
    >,
    bone
  >, wipe_up, wipe_down>;

using ninth_lamp = power_sleeve<
  blast_sleeve<
    clash_sleeve<
      ramp<
        sway<LAMP_OIL, rgb<255, 90, 0>, 1600>,   // hilt
        rgb<255, 170, 60>,
        // there used to be a green here; it read as seasick
        dim<bone, 75>                            // tip
      >,
      rgb<255, 255, 255>
    >,
    flutter<bone, rgb<255, 255, 255>>            // bright spatter, default speed
  >,
  wipe_up, wipe_down>;

using bell_rope = power_sleeve<clash_sleeve<bands<66, 33, rgb<180,150,60>, dim<rgb<180,150,60>,50>>, foam, 120>, 150, 1000>;

using drowned_bell = power_sleeve< clash_sleeve< sway< deep_tide, rgb<0, 20, 40>, 4000 >, tide >, 2000, 3000 >; // slow, slow

// Rehearsal blade: always lit, so that nobody walks into it in the wings.
using wings_marker = dim<rgb<0, 255, 0>, 10>;

wick_slots slots = {
  slot<harbour_watch>("harbour", "Harbour watch"),
  slot<lamp_oil>("lampoil", "Lamp oil, low wick"),
  slot<low_wick>("lampoil", "Low wick"),
  slot<ferrymans_blade>("ferry", "Ferryman's blade"),
  slot<toll_stick>("toll", "Toll stick"),
  slot<fog_bank>("fog", "Fog bank"),           // shares its folder with the horn
  slot<foghorn>("fog", "Foghorn"),
  slot<tide_staff>("tide", "Tide staff"),
  slot<ebb_staff>("tide", "Ebb staff"),
  slot<gale_lantern>("lampoil", "Gale lantern"),
  slot<ninth_lamp>("ninth", "The ninth lamp"),
  slot<bell_rope>("bell", "Bell rope"),
  slot<drowned_bell>("bell", "Drowned bell"),
  slot<wings_marker>("quiet", "Wings marker"),
};
