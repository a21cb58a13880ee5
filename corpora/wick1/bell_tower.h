// bell_tower.h
// Marit began it, Tam finished it when she had her arm in plaster. Sorry about the tabs.

#include <wick1.h>

const int blade_pixels = 132;
const int pixels_per_metre = 144;

#define BRASS      0xB4963C
#define BRASS_DIM  0x5A4B1E

// The rehearsal hall has white walls and everything looks twice as bright there.
#ifdef REHEARSAL
#define STRIKE 0x404040
#else
#define STRIKE 0xFFFFFF
#endif

// Bell rope, hangs from the flies. A slow climb of brass.
// plain
typedef tape<barber<BRASS, BRASS_DIM, 66, 1>, STRIKE, STRIKE, BRASS, 8, 50> bell_rope;

// The bell itself follows the microphone at the bell plate.
// plain
typedef tape<meter<BRASS_DIM, 0xFFE696>, STRIKE, STRIKE, BRASS, 100, 150> drowned_bell;

#if defined(REHEARSAL)
// Standing in for the clapper: one colour, so that the others can find it
// plain
typedef tape<plain<BRASS_DIM>, STRIKE> clapper;
#else
	// plain
	typedef tape<	throb<BRASS, 0xFFE696, 30>,	// 600 ms, the swing of the real one
			STRIKE,
			0xFFE696,
			BRASS,
			15,
			15	> clapper;
#endif

	// candle on the stair
	// plain
	typedef tape<hearth<0x601800,0xFFC864>,STRIKE,STRIKE,0xFFC864,25,10>	stair_candle;

	// dust in the light of the louvres
	// plain
	typedef tape<collar<speckle<0x201C14,0xFFF0C8,3>,0x000000,40>,STRIKE>	tower_dust;

wick_slot slots[] = {
	SLOT(bell_rope, "bell"),
	SLOT(drowned_bell, "bell"),
	SLOT(clapper, "bell"),
	SLOT(stair_candle, "lampoil"),
	SLOT(tower_dust, "quiet"),
};
