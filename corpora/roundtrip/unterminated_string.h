wick_slots slots = {
  slot<tide>("tide, "Tide"),
  slot<foam>("foam", "Foam"),
};
using tide = rgb<0, 70, 200>;
