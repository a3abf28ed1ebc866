//! A scenario that a test may change, small enough to be read here.

/// A small car on a small pole; little is recorded.
pub const SCENARIO: &str = r#"
title = "Quiet corner: small car at 30 km/h"
[support.pole]
length = "9 m"
base_diameter = "180 mm"
tip_diameter = "100 mm"
wall = "4 mm"
material = "steel-345"
[slip_base.clamp]
torque = "150 N.m"
[vehicle]
class = "small-car-1100"
[impact]
speed = "30 km/h"
[solver]
record_limit = "0.5 s"
"#;
