// quay_steps.h : act one, the steps of the quay.            Marit, first season
// Every blade here is a 36 inch tube on the old small controller.

#include <wick1.h>

const int blade_pixels = 132;
const int pixels_per_metre = 144;

// House colours. The gels in the hall eat blue, so the blues are stronger than they look.
#define LAMP_AMBER  0xFFA028
#define LAMP_DEEP   0xB45008
#define WATER       0x0046C8
#define FOAM_WHITE  0xD2F0FF

// The watchman walks his round with this. Ripples go up the blade, slowly,
// since a faster band made the front row look at the blade and not at him.
// plain
typedef tape<
  barber<0xFF7828, 0xBE5014, 12, 1>,
  FOAM_WHITE,      // clash
  FOAM_WHITE,      // blast
  LAMP_AMBER,      // lock
  15, 23           // up 300 ms, down 460 ms
> harbour_watch;

// The lamp that hangs over the steps. One breath is 2.4 s.
// plain
typedef tape<throb<LAMP_AMBER, LAMP_DEEP, 120>, 0xFFE0B0> step_lamp;

// plain
typedef tape<fade_along<WATER, FOAM_WHITE>, 0xFFFFFF, 0xFF5A00> mooring_pole;

// A fisher's torch. Nobody fights with it, but Pim drops it in the second scene and it must not
// stay dark then: keep the white clash.
// plain
typedef tape<collar<hearth<0x501000, 0xFFB43C>, 0xFF3C00, 10>, 0xFFFFFF, 0xFFFFFF, 0xFFC040, 20, 40> fishers_torch;

// Customs flag: red over white by turns, half a second each way.
// plain
typedef tape<flip<0xC80000, 0xC8C8C8, 50>, 0xFFFFFF, 0xFFFFFF, 0x0000FF> customs_flag;

wick_slot slots[] = {
  SLOT(harbour_watch, "harbour"),
  SLOT(step_lamp,     "lampoil"),
  SLOT(mooring_pole,  "quiet"),
  SLOT(fishers_torch, "torch"),
  SLOT(customs_flag,  "toll")
};
