//! Codes of findings on open-stacks instances.

use super::Code;

/// The text is not JSON.
pub const NO_JSON: Code = Code::error(
    "K001",
    "open-stacks file is not JSON",
    "The file must be JSON: an array of instances, or one instance. The line and column say where \
     reading stopped; a missing comma or bracket just before is the usual cause.",
);

/// No usable entry.
pub const NO_INSTANCE: Code = Code::error(
    "K002",
    "no open-stacks instance",
    "Each entry needs name, customers, products and matrix. An empty list holds nothing to solve.",
);

/// Counts and matrix do not go together.
pub const BAD_MATRIX: Code = Code::error(
    "K003",
    "matrix does not fit",
    "The matrix has one text for each customer, and in it one character, 0 or 1, for each product: \
     1 where the customer wants the product. Rows of another length cannot be assigned.",
);

/// All of them.
pub const ALL: &[&Code] = &[&NO_JSON, &NO_INSTANCE, &BAD_MATRIX];
