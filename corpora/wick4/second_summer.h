#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

/* Ferrymen, second summer. Still one line each where they fit, and still pinned behind the flat. */

// plain
using ferry_out = score<ground<bands<paints<srgb<0, 90, 160>, srgb<0, 150, 190>>, width<mm<220>>, speed<mm_s<220>>>>, cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

// plain
using ferry_home = score<ground<bands<paints<srgb<0, 90, 160>, srgb<0, 150, 190>>, width<mm<220>>, speed<mm_s<-220>>>>, cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

// plain
using bow_lamp = score<ground<srgb<0, 70, 110>>, veil<named<"paleturquoise">, by<near<lfo<saw, period<ms<1600>>>, width<mm<154>>>>>,
    gleam<named<"teal">, by<product<near<lfo<saw, period<ms<1600>>, phase<pct<85>>>, width<mm<242>>>, k<pct<40>>>>, in<linear>>,
    cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, power<rise<wipe<over<ms<260>>, soft<mm<110>>>>, fall<wipe<over<ms<340>>, soft<mm<110>>>>>>;

// plain
using pole_and_hook = score<ground<blend<named<"darkolivegreen">, named<"yellowgreen">, by<swing<full<dps<600>>>>, in<linear>>>, edge<named<"white">, width<mm<55>>>,
    cue<when<clash>, paint<named<"honeydew">>, shape<burst<ms<60>>>>, cue<when<drag>, paint<named<"tomato">>, reach<mm<110>>>,
    power<rise<wipe<over<ms<200>>>>, fall<wipe<over<ms<260>>>>>>;

// tiller: port to starboard through white would be wrong, through srgb grey is what the old lamp did
using tiller_lamp = score<ground<blend<named<"crimson">, named<"seagreen">, by<slew<tilt<>, up<ms<400>>, down<ms<400>>>>, in<srgb>>>,
    cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, cue<when<lock>, paint<named<"gold">>, shape<attack<ms<60>>, release<ms<200>>>>,
    power<rise<iris<over<ms<350>>, at<pct<50>>>>, fall<iris<over<ms<500>>>>>>;

// oars: two humps beat against each other; strokes of 1.9 s and 1.3 s was what the real crew managed
using oars = score<ground<srgb<10, 40, 60>>, veil<named<"azure">, by<most<near<lfo<sine, period<ms<1900>>>, width<mm<96.25>>>, near<lfo<sine, period<ms<1300>>, phase<pct<50>>>, width<mm<96.25>>>>>>,
    cue<when<blast>, paint<named<"azure">>, scatter<count<9>, reach<mm<132>>>, shape<attack<ms<15>>, decay<ms<385>>>>,
    cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, power<rise<dissolve<over<ms<600>>>>, fall<dissolve<over<ms<600>>>>>>;

using table = slots<
    slot<style<ferry_out>, sounds<"ferryout">, label<"Ferry, outward">>, slot<style<ferry_home>, sounds<"ferryhom">, label<"Ferry, homeward">>,
    slot<style<bow_lamp>, sounds<"bow">, label<"Bow lamp">>,             slot<style<pole_and_hook>, sounds<"pole">, label<"Pole and hook">>,
    slot<style<tiller_lamp>, sounds<"tiller">, label<"Tiller">>,         slot<style<oars>, sounds<"oars">, label<"Oars">>>;
