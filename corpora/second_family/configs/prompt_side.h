// Lantern Quay Players, prompt side. Marram, second release.
#define MARRAM_RELEASE 2
#include <marram/sedge.h>
constexpr int kPixels = 132;
constexpr int kPixelsPerMetre = 144;
using namespace marram;

using Bell = Wield<200, 150, OnStruck<Dye<255, 255, 255>, Swell<72, Dye<40, 120, 255>, Dye<4, 24, 64>>>>;
using Tidewrack = Wield<200, 200, Point<40, Dye<255, 255, 255>, Mix<Lesser<Loudness, Tide<40>>, Dye<64, 32, 16>, Dye<255, 192, 128>>>>;
using Drift = Wield<240, 240, Swung<300, Dimmed<30, Dye<40, 120, 255>>, Dye<40, 120, 255>>>;
using Glint = Wield<200, 200, Glimmer<600, 300, Dye<64, 32, 16>, Dye<255, 255, 255>>>;

marram::Rack rack = {
  marram::Peg<Bell>("bell", "Bell"),
  marram::Peg<Tidewrack>("wrack", "Tidewrack"),
  marram::Peg<Drift>("drift", "Drift"),
  marram::Peg<Glint>("glint", "Glint"),
};
