"""The laws: pure functions, each in its textbook form, with its source and a published number as example.

Every law takes SI values (pascals gauge, metres, kilograms, seconds, radians) and works unchanged on Python
floats, NumPy arrays and symbolic expressions, because it uses NumPy functions only and never asks which it
was given. The few typed ``float`` take numbers only.

Where to look: ``restrictions`` (orifice, gap, check valve), ``areas`` (seat, spool edge), ``flow_force``,
``springs``, ``compress`` (bulk modulus, air, density under pressure), ``viscosity`` and ``density`` (against
temperature), ``lines`` (pipe friction), ``power`` (pump, heat), ``statics``; and two of hand checks,
``relief`` and ``response``.
"""
