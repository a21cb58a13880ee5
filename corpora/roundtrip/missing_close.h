using tide = dim<rgb<0, 70, 200>, 50;
using foam = rgb<210, 240, 255
using bone = rgb<255, 244, 214>;
typedef tape<plain<0xFF0000>, 15, 15 harbour;
#define FOG dim<rgb<96, 104, 110>, 50
constexpr int steps = (3 + 4;
PROP_STYLE(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450)
wick_slots slots = { slot<tide>("tide", "Tide"), slot<bone>("bone", "Bone" };
