/* The drowned bell. Tam, tabs. Half of it is the old file with sleeves on. */
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132, pixels_per_metre = 144;	// wider tubes: see the box lid

#define BRASS	rgb<180,150,60>

// Rehearsal hall has white walls.
#ifdef REHEARSAL
#define STRIKE	rgb<64,64,64>
#else
#define STRIKE	rgb<255,255,255>
#endif

// plain
using bell_rope	= power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
			bands<66,50,BRASS,rgb<90,75,30>>,
			BRASS,40>,STRIKE>,STRIKE>,160,1000>;
// plain
using bell_plate = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
			from_tape<tape1::meter<0x5A4B1E,0xFFE696>>,	// old meter. the mike gain was set with it
			BRASS,40>,STRIKE>,STRIKE>,2000,3000>;
// plain
using stair_candle = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
			hearth<rgb<96,24,0>,rgb<255,200,100>,6>,
			rgb<255,200,100>,40>,STRIKE>,STRIKE>,500,200>;
// plain
using tower_dust = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
			from_tape<tape1::collar<tape1::speckle<0x201C14,0xFFF0C8,3>,0x000000,40>>,
			rgb<255,192,64>,40>,STRIKE>,STRIKE>,300,300>;

#if defined(REHEARSAL)
using clapper	= clash_sleeve<dim<BRASS,50>,STRIKE>;	// no power: always lit, so they find it
#else
using clapper	= power_sleeve<clash_sleeve<sway<BRASS,rgb<255,230,150>,600>,STRIKE,40>,300,300>;
#endif

// under water. the lock is the rope round the clapper
using sunk_bell	= power_sleeve<
	melt_sleeve<lock_sleeve<
		dim<hark<BRASS,rgb<255,230,150>>,35>,	// 35 %: six fathoms down, says Elowen
		flip<BRASS,STRIKE,120>,BRASS,9>,
	BRASS,STRIKE,16>,2000,3000>;

wick_slots slots = {
	slot<bell_rope>("bell", "Bell rope"),
	slot<bell_plate>("bell", "Bell plate"),
	slot<stair_candle>("lampoil", "Stair candle"),
	slot<tower_dust>("quiet", "Tower dust"),
	slot<clapper>("bell", "Clapper"),
	slot<sunk_bell>("bell", "Drowned bell"),
};
