/* BOATHOUSE SHOW. Tam. tabs because my editor. */
#include <wick1.h>
const int blade_pixels = 120;
const int pixels_per_metre = 144;

// plain
typedef tape<plain<0xff0000> > port_light;
// plain
typedef tape<plain<0x00ff30>,0xffffff,0xffffff,0x00ff90> starboard_light;
// plain
typedef tape<jitter<0xff9020,0xff6000>,0xffffd0,0xffffff,0xffc040,10,30>	boathouse_fire;
// plain
typedef tape<speckle<0x001840,0x60a0ff,24>,0xffffff,0xa0ffff> rain_on_tar;
// plain
typedef tape<meter<0x101010,0xffd060>,0xffffff>		squeezebox;	// goes with the accordion
// plain
typedef tape<whirl<0x0030a0,0xa0e0ff>,0xffffff,0xffffff,0xffc040,12,12>	oar_blade;

wick_slot slots[] = {
	SLOT(port_light, "quiet"), SLOT(starboard_light, "quiet"),
	SLOT(boathouse_fire, "torch"),
	SLOT(rain_on_tar, "rain"),
	SLOT(squeezebox, "squeeze"),
	SLOT(oar_blade, "ferry"),
};
