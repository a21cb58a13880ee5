#include <wick1.h>
typedef tape<collar<throb<0x501000, 0xFFB43C, 120> , 0xFF3C00, 10 > , 0xFFFFFF > step_lamp;
typedef tape<collar<throb<0x501000, 0xFFB43C, 120>, 0xFF3C00, 10>, 0xFFFFFF> step_lamp_two ;
wick_slot slots[ ] = {
  SLOT(step_lamp, "steps"),
  SLOT( step_lamp_two , "steps" ) // the last
};
