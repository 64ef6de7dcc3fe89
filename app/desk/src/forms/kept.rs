//! An untouched field is never rewritten, however it was shown, and whoever wrote it meanwhile.

/// Field by field: what was typed where it differs from what the page opened with, else what stands by now. `$opened` is
/// what the form comes to when nobody touches it. A field left out does not compile.
macro_rules! kept {
    ($card:ident { $($field:ident),+ $(,)? }: $typed:expr, $opened:expr, $now:expr) => {{
        let $card { $($field),+ } = $typed;
        let (opened, now) = (&$opened, $now);
        $card { $($field: if $field == opened.$field { now.$field.clone() } else { $field }),+ }
    }};
}

pub(crate) use kept;
