//! Columns and the record they fill, written down once.

/// Declares the columns of a table and the record that holds a row's cells, one field a column in
/// the same order, so that neither can differ from the other.
///
/// A line is `field: needed "form", "example", "meaning";`, or `optional` for `needed`; a column
/// whose heading cannot be a field's name is `field as "heading": …`.
macro_rules! record {
    (
        $(#[$of_columns:meta])*
        $visible:vis const $COLUMNS:ident;
        $(#[$of_record:meta])*
        struct $Record:ident;
        $(
            $(#[$of_field:meta])*
            $field:ident $(as $heading:literal)?:
            $need:ident $form:literal, $example:literal, $meaning:literal;
        )+
    ) => {
        $(#[$of_columns])*
        $visible const $COLUMNS: &[$crate::table::Column; [$(stringify!($field)),+].len()] = &[
            $($crate::table::Column::$need(
                $crate::table::record!(@heading $field $($heading)?),
                $form,
                $example,
                $meaning,
            )),+
        ];

        $(#[$of_record])*
        pub(super) struct $Record<'t> {
            $($(#[$of_field])* pub(super) $field: $crate::table::Cell<'t>,)+
        }

        impl<'t> From<[$crate::table::Cell<'t>; $COLUMNS.len()]> for $Record<'t> {
            fn from([$($field),+]: [$crate::table::Cell<'t>; $COLUMNS.len()]) -> Self {
                Self { $($field),+ }
            }
        }
    };
    (@heading $field:ident) => { stringify!($field) };
    (@heading $field:ident $heading:literal) => { $heading };
}
pub(crate) use record;
