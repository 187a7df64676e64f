"""Geometry of the pictures: values of a plan in, frozen shapes out. Pure; templates/components/pictures/ draws them."""
