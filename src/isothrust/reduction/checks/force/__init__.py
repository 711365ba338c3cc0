"""Load cells: what makes a thrust or a torque wrong."""
