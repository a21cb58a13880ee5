// Lantern Quay Players, the stage hands' blades. Marram, first release.
#define MARRAM_RELEASE 1
#include <marram/reed.h>
constexpr int kPixels = 132;
constexpr int kPixelsPerMetre = 144;
using namespace marram;

// lamp oil, blue comes first
using LampOil = Dye<40, 120, 255>;

using QuayLamp = Wield<200, 150,
  OnStruck<750, Dye<255, 255, 255>,
    OnDeflected<36, 200, Dye<200, 240, 255>,
      Breathe<72, LampOil, Dye<4, 24, 64>>>>>;  // breathes with the tide

using RopeWalk = Wield<240, 240, OnLocked<Dye<64, 192, 255>, Stripes<6, 45, LampOil, Dye<20, 80, 190>>>>;
using LowWater = Wield<120, 100, OnDragged<30, Dye<32, 160, 255>, Dimmed<4500, Fall<Dye<255, 64, 32>, LampOil>>>>;
using FogHorn = Wield<200, 200, Guard<24, Dye<255, 255, 255>, Heard<Dye<64, 32, 16>, Dye<255, 192, 128>>>>;
using Semaphore = Wield<300, 300, Blink<240, Dye<0, 0, 255>, Dye<0, 0, 0>>>;
using Gutterlight = Wield<150, 150, Gutter<1800, Dye<64, 192, 255>, Dye<32, 128, 192>>>;
using Phosphor = Wield<200, 200, OnStruck<750, Dye<255, 255, 255>, Shimmer<600, 300, Dye<64, 32, 16>, Dye<255, 255, 255>>>>;

marram::Rack rack = {
  marram::Peg<QuayLamp>("quay", "Quay lamp"),
  marram::Peg<RopeWalk>("rope", "Rope walk"),
  marram::Peg<LowWater>("low", "Low water"),
  marram::Peg<FogHorn>("horn", "Fog horn"),
  marram::Peg<Semaphore>("flags", "Semaphore"),
  marram::Peg<Gutterlight>("gutter", "Gutterlight"),
  marram::Peg<Phosphor>("glow", "Phosphor"),
};
