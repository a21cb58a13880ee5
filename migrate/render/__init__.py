"""Numpy renderer: a style of the IR, a scene and a blade in; frames of duties out."""
