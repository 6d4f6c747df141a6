"""Picture files to bytes of grey or sRGB, and back."""
