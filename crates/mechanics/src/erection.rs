//! Numbers for the crew that erects a pole: bolt length, tightening, sling and tag line, lean under the arm, arm joint.
//!
//! Pure functions of the design (`SlipBase`, `Support`, `Site`); findings on site play no part. SI throughout. Inputs are
//! checked: [`crate::strength::InputError`] names the quantity. Results are plain data for a printed sheet.
//!
//! # References
//! - ISO 888 (lengths of bolts), ISO 4014 (thread length of hexagon bolts), ISO 7412 (thread length of metric
//!   structural bolts), ASME B18.2.1 and B18.2.6 (inch bolts and inch structural bolts) (all recalled).
//! - J. H. Bickford, An Introduction to the Design and Behavior of Bolted Joints: scatter of a torque wrench +/- 30 %
//!   (recalled).
//! - ISO 898-1: proof stress 0.88 to 0.94 of the yield strength (recalled).
//! - J. E. Shigley, C. R. Mischke, Mechanical Engineering Design: pressure cones of a cap screw joint; elastic bolt
//!   group (recalled).
//! - S. P. Timoshenko, J. M. Gere, Theory of Elastic Stability: columns under eccentric load (recalled).
//! - Statics of a slung body, beam integration: derived in the parts. What is marked "common practice" has no
//!   source.

mod arm_blow;
mod arm_joint;
mod balance;
mod bolt_length;
mod fastener;
mod lean;
mod tightening;

pub use arm_blow::{ArmBlow, arm_blow};
pub use arm_joint::{
    ArmJointCheck, ScrewLength, arm_joint, group_tension, screw_length, screw_stiffnesses,
    tapped_stack_stiffness, turn_from_snug,
};
pub use balance::{
    Balance, End, Hang, LevelLine, arm_line, balance, bare_balance, hang, level_line, sling_height,
};
pub use bolt_length::{BoltLength, Layer, SlipPlane, bolt_length, bolt_stack};
pub use fastener::{Series, series, standard_length, thread_length};
pub use lean::{Lean, lean};
pub use tightening::{PROOF_SHARE, Stage, Tightening, WRENCH_SCATTER, tightening};
