// Included by config_local_include.h. Two generations' spellings of the house colours, both in use.
#ifndef LQP_HOUSE_COLOURS_H
#define LQP_HOUSE_COLOURS_H
#define HOUSE_OIL   duty<255, 28, 0>
#define HOUSE_BONE  rgb<255, 244, 214>
using house_foam = wick::css::aliceblue;
constexpr int house_rise = 300;
#endif
