// winter_matinee.h
// Matinees are lit from the windows, evenings are not, so the whites come in two strengths.
// Pass -DMATINEE when building for a Saturday.
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels = 96;
constexpr int pixels_per_metre = 144;

#ifdef MATINEE
#define WHITE duty<255, 255, 255>
#else
#define WHITE duty<150, 150, 140>    // evenings: the front row complained
#endif

// plain
using ice_light = power_sleeve<
  collar_sleeve<
    clash_sleeve<ramp<rgb<90, 150, 200>, rgb<200, 230, 255>>, WHITE, 100>,
    WHITE, 8>,
  400, 400>;

#ifdef MATINEE
using rime = pile<
  dapple<css::lightcyan, css::skyblue, 30>,
  on<ev::clash, WHITE, burst<80>>,
  power<wipe<250>, wipe<350>>>;
#else
using rime = pile<
  dim<dapple<css::lightcyan, css::skyblue, 30>, 60>,
  on<ev::clash, WHITE, burst<80>>,
  power<wipe<250>, wipe<350>>>;
#endif

// Brazier on the quay. roam is the coal that has not caught, hark is the crowd's warmth.
using brazier = pile<
  roam<hearth<rgb<80, 10, 0>, rgb<240, 90, 0>, 60, 120>, css::orange, 20>,
  veil<hark<css::maroon, css::gold>, product<hilt<400>, k<500>>>,
  on<ev::clash, WHITE, hit<0, 160>>,
  spot<ev::blast, WHITE, 94, hit<0, 300>>,
  on<ev::retract, css::orangered, hit<0, 700>>,
  power<dissolve<300>, chain<dissolve<400>, rgb<90, 10, 0>, dissolve<1200>>>>;

// Skater: whirl from the old box, with the new lock. Blades cut the ice where he looks.
using skater = pile<
  glare_sleeve<whirl<css::steelblue, css::white, 380>, css::white>,
  spot<ev::lock, css::deepskyblue, 300, held<40, 400>>,
  veil<css::white, product<upon<ev::ignite, hit<0, 800>>, near<since<ev::ignite, 800>, 200>, held_noise<25, 42>>>,
  edge<css::white, 31>,
  power<wipe<500>, wipe<500>>>;

// roam over a flip: chestnuts. The pan is turned every 1.2 s, the chestnuts jump as they like.
// plain
using chestnut_pan = power_sleeve<
  melt_sleeve<
    lock_sleeve<
      edge_sleeve<roam<flip<rgb<70, 24, 0>, rgb<110, 40, 0>, 1200>, rgb<255, 160, 60>, 12>, WHITE, 2>,
      WHITE>,
    css::darkred, css::khaki, 10>,
  250, 500>;

// plain
using sleigh_bell = power_sleeve<
  blast_sleeve<
    glare_sleeve<
      melt_sleeve<hark<css::firebrick, css::gold>, css::red, css::yellow, 14>,
      css::gold, 180>,
    WHITE, 12, 400>,
  300, 300>;

// plain
using frost_rail = power_sleeve<
  edge_sleeve<
    lock_sleeve<
      blast_sleeve<clash_sleeve<whirl<css::slategray, css::azure, 520>, WHITE>, WHITE, 7>,
      css::azure, css::lightblue>,
    css::white, 3>,
  350, 350>;

wick_slots slots = {
  slot<ice_light>("ice", "Ice light"),
  slot<rime>("rime", "Rime"),
  slot<brazier>("brazier", "Brazier"),
  slot<skater>("skater", "Skater"),
  slot<chestnut_pan>("chestnut", "Chestnut pan"),
  slot<sleigh_bell>("sleigh", "Sleigh bell"),
  slot<frost_rail>("frost", "Frost on the rail"),
};
