"""Shapes in masks: connected components, bottlenecks, edges laid over edges."""
