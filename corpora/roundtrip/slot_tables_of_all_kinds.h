wick_slots slots = {
  slot<harbour_watch>("harbour", "Harbour watch"), // first
  slot<pile<css::navy, power<wipe<300>, wipe<300>>>>("inline", "A style, in line"),
};
wick_slot old_slots[] = { SLOT(harbour_watch, "harbour"), SLOT(lamp_oil, "lampoil") };
using table = slots<
  slot<style<harbour_watch>, sounds<"harbour">, label<"Harbour watch">>,
  slot<style<lamp_oil>, sounds<"lampoil">, label<"Lamp oil, low wick">>>;
using not_a_table = ramp<stop<at<pct<0>>, named<"black">>, stop<at<pct<100>>, named<"red">>>;
int numbers[3] = { 1, 2, 3 };
Point p = { 1, 2 };
PROP_STYLE(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450>)
PROP_STYLE(bell, power_sleeve<rgb<180, 150, 60>, 150, 1000>);
