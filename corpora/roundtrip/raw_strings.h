const char* notice = R"quay(using ghost = rgb<1, 2, 3>; )" not yet
#define GHOST 1
)quay";
auto path = u8R"(C:\new\)";
wick_slots slots = { slot<tide>(R"(harbour)", "Harbour \"watch\""), slot<foam>(u8"foam", L"Foam") };
using tide = rgb<0, 70, 200>;
