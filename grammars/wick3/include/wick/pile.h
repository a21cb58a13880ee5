// wick/pile.h: the style language of generation 3, C++14: a ground, and sheets over it.
// Weights and lengths in per mille, times in ms, colours sRGB-coded, 16-bit linear light inside.
#ifndef WICK3_PILE_H
#define WICK3_PILE_H
#if __cplusplus < 201402L
#error "wick/pile.h needs C++14"
#endif
#include "config.h"
#include "css.h"
#endif
