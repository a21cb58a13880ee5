// understudies.h
// Nele, first file ever. I asked what every number does, and wrote the answer next to it.
// Also Marit told me that leaving a number out is fine, but then I cannot see it.

#define WICK_GENERATION 2    // the big controller
#include <wick2.h>

constexpr int blade_pixels = 132;      // count them? no: 36 inches, 144 a metre
constexpr int pixels_per_metre = 144;  // on the reel

// My first one. Blue.
// plain
using first_blue =
  power_sleeve<
    clash_sleeve<
      blast_sleeve<
        glare_sleeve<
          rgb<0, 0, 255>,        // the blade
          rgb<255, 255, 0>,      // while locked
          40                     // every 40 ms, second half
        >,
        rgb<255, 255, 255>,      // spatter
        9,                       // pixels wide
        300                      // ms until it is gone
      >,
      rgb<255, 255, 255>,        // hit
      80                         // ms
    >,
    300,                         // ms to light
    300                          // ms to go dark
  >;

// My second one. Warm at the hand and pale at the tip.
// plain
using second_slope =
  power_sleeve<
    clash_sleeve<
      blast_sleeve<
        glare_sleeve<
          ramp<
            rgb<255, 60, 0>,     // hilt
            rgb<255, 240, 220>   // tip
          >,
          rgb<255, 255, 0>,
          40
        >,
        rgb<255, 255, 255>,
        9,
        300
      >,
      rgb<255, 255, 255>,
      80
    >,
    300,
    300
  >;

// plain
using third_flicker =
  power_sleeve<
    clash_sleeve<
      blast_sleeve<
        glare_sleeve<
          flutter<
            rgb<120, 0, 160>,
            rgb<180, 40, 220>,
            50                   // times a second
          >,
          rgb<255, 255, 0>,
          40
        >,
        rgb<255, 255, 255>,
        9,
        300
      >,
      rgb<255, 255, 255>,
      80
    >,
    300,
    300
  >;

// plain
using fourth_whirl =
  power_sleeve<
    clash_sleeve<
      blast_sleeve<
        glare_sleeve<
          whirl<
            rgb<0, 60, 0>,
            rgb<0, 255, 0>,
            450                  // degrees a second for the full green
          >,
          rgb<255, 255, 0>,
          40
        >,
        rgb<255, 255, 255>,
        9,
        300
      >,
      rgb<255, 255, 255>,
      80
    >,
    300,
    300
  >;

// The one that I am proud of. It has everything.
using with_everything =
  power_sleeve<
    edge_sleeve<
      clash_sleeve<
        blast_sleeve<
          melt_sleeve<
            lock_sleeve<
              collar_sleeve<
                hearth<
                  rgb<60, 0, 60>,
                  rgb<255, 120, 255>,
                  10             // grain
                >,
                rgb<255, 0, 120>,
                16
              >,
              rgb<255, 255, 0>,  // lock
              rgb<255, 160, 0>,  // drag
              12                 // pixels
            >,
            rgb<255, 80, 0>,
            rgb<255, 255, 160>,
            20
          >,
          rgb<255, 255, 255>,
          9,
          300
        >,
        rgb<255, 255, 255>,
        80
      >,
      rgb<255, 200, 255>,
      5
    >,
    350,
    500
  >;

wick_slots slots = {
  slot<first_blue>("plain", "Understudy one"),
  slot<second_slope>("plain", "Understudy two"),
  slot<third_flicker>("plain", "Understudy three"),
  slot<fourth_whirl>("plain", "Understudy four"),
  slot<with_everything>("plain", "Understudy, all of it"),
};
