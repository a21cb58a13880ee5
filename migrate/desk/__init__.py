"""The desk: a local page over the same road, for pasting, moving, looking, editing and comparing."""
