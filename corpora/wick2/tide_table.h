// ==========================================================================
//  TIDE TABLE - the staffs of flood, ebb, slack, spring          (Joost)
//  with the grapple scene: lock, drag, melt all used
// ==========================================================================
#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels     = 132;
constexpr int pixels_per_metre = 144;

constexpr int flood_speed = 100;     // px/s
constexpr int ebb_speed   = -50;
constexpr int rise        = 600;
constexpr int fall        = 600;
constexpr int foam_edge   = 6;

using sea       = rgb<0, 70, 200>;
using deep_sea  = dim<sea, 50>;
using foam      = rgb<210, 240, 255>;
using cyan_glow = rgb<0, 200, 255>;
using ember     = rgb<255, 90, 0>;

using flood_water = bands<33, flood_speed, sea, deep_sea>;
using ebb_water   = bands<33, ebb_speed, sea, deep_sea>;

// The whole grapple in one place: all four staffs get wrapped in this order.
//   from the inside: grapple, scorch, spatter, hit, foam on the moving edge, power
using flood_staff = power_sleeve
<
    edge_sleeve
    <
        clash_sleeve
        <
            blast_sleeve
            <
                melt_sleeve
                <
                    lock_sleeve<flood_water, cyan_glow, ember, 11>,
                    ember,                  // where it starts to glow
                    rgb<255, 240, 180>,     // the very tip
                    22
                >,
                flutter<rgb<255, 200, 80>, rgb<255, 255, 180>, 60>    // bright spatter
            >,
            foam
        >,
        foam,
        foam_edge
    >,
    rise,
    fall
>;

using ebb_staff = power_sleeve
<
    edge_sleeve
    <
        clash_sleeve
        <
            lock_sleeve<collar_sleeve<ebb_water, foam, 14>, cyan_glow>,    // drag as lock, 12 px
            foam
        >,
        foam,
        foam_edge
    >,
    rise,
    fall
>;

// slack water: nothing moves, and it breaks easily
using slack_staff = power_sleeve
<
    clash_sleeve
    <
        melt_sleeve<rgb<0, 48, 112>, cyan_glow, foam, 33>,
        foam,
        120
    >,
    rise,
    fall
>;

// plain
using spring_staff = power_sleeve
<
    clash_sleeve
    <
        blast_sleeve
        <
            glare_sleeve
            <
                collar_sleeve<whirl<rgb<0, 35, 100>, rgb<0, 200, 255>>, rgb<210, 240, 255>, 14>,
                rgb<0, 200, 255>,
                40
            >,
            rgb<255, 90, 0>
        >,
        rgb<255, 255, 255>
    >,
    (rise / 2),
    (fall / 2)
>;

// neap tide goes with a light hand: full at 200 deg/s already
using neap_staff = power_sleeve
<
    edge_sleeve
    <
        clash_sleeve<whirl<deep_sea, sea, 200>, foam>,
        foam,
        4
    >,
    rise,
    fall
>;

// plain
using flotsam = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
    from_tape<tape1::speckle<0x002364, 0xD2F0FF, 8>>,
    rgb<0, 200, 255>, 40>, rgb<255, 90, 0>>, rgb<255, 255, 255>>, 300, 300>;

wick_slots slots =
{
    slot<flood_staff>("tide", "Flood staff"),
    slot<ebb_staff>("tide", "Ebb staff"),
    slot<slack_staff>("tide", "Slack water"),
    slot<spring_staff>("tide", "Spring staff"),
    slot<neap_staff>("tide", "Neap staff"),
    slot<flotsam>("tide", "Flotsam"),
};
