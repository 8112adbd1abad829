"""The demonstration: a scripted technician, shop noise and a whole job."""
