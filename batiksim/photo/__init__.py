"""Reading a photo: rectified, evenly lit, registered with the plan, its patches measured."""
