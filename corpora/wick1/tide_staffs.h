// ==========================================================================
//  TIDE STAFFS - four players, one pair of hands to solder them (Joost)
// ==========================================================================
#include <wick1.h>

const int blade_pixels     = 132;
const int pixels_per_metre = 144;

const int flood_rate =  2;     // pixels a tick: 100 a second
const int ebb_rate   = -1;     // the sea takes longer to leave
const int rise       = 30;
const int fall       = 30;

// paints that more than one staff uses
typedef barber<0x0046C8, 0x002364, 33, flood_rate> flood_water;
typedef barber<0x0046C8, 0x002364, 33, ebb_rate>   ebb_water;

// plain
typedef tape
<
    flood_water,
    0xD2F0FF,
    0xFF5A00,
    0x00C8FF,
    rise,
    fall
>
flood_staff;

// plain
typedef tape
<
    collar<ebb_water, 0xD2F0FF, 14>,    // foam at the hand
    0xD2F0FF,
    0xFF5A00,
    0x00C8FF,
    rise,
    fall
>
ebb_staff;

// slack water: nothing moves
// plain
typedef tape
<
    plain<0x003070>,
    0xD2F0FF
>
slack_staff;

// spring tide: it goes with the swing of the arm
// plain
typedef tape
<
    collar<whirl<0x002364, 0x00C8FF>, 0xD2F0FF, 14>,
    0xFFFFFF,
    0xFF5A00,
    0x00C8FF,
    (rise / 2),
    (fall / 2)
>
spring_staff;

// neap tide: a slope
// plain
typedef tape
<
    fade_along<0x001830, 0x0070A0>,
    0xD2F0FF,
    0xD2F0FF,
    0x00C8FF,
    rise
>
neap_staff;

wick_slot slots[] =
{
    SLOT(flood_staff,  "tide"),
    SLOT(ebb_staff,    "tide"),
    SLOT(slack_staff,  "tide"),
    SLOT(spring_staff, "tide"),
    SLOT(neap_staff,   "tide")
};
