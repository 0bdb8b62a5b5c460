//! What pieces of any width cost at the present prices: one curve for each length of piece.

use super::Size;
use super::material::Material;
use super::table::{DENOMINATOR, Table};
use crate::units::Length;
use std::collections::BTreeMap;

/// What tells curves apart: material, length of the piece, whether it may lie upright, sideways.
pub(super) type Key = (usize, Length, bool, bool);

/// The key of a size.
pub(super) const fn key(size: &Size) -> Key {
    (size.material, size.length, size.upright, size.sideways)
}

/// The prices of a moment.
#[derive(Debug)]
pub(super) struct Prices<'m> {
    materials: &'m [Material],
    curves: BTreeMap<Key, Vec<f64>>,
}

impl<'m> Prices<'m> {
    /// Curves for all `keys`.
    pub(super) fn new(materials: &'m [Material], tables: &[Table<'_>], keys: &[Key]) -> Self {
        let mut curves = BTreeMap::new();
        for (m, (material, table)) in materials.iter().zip(tables).enumerate() {
            let mine: Vec<Key> = keys.iter().filter(|key| key.0 == m).copied().collect();
            fill(material, table, &mine, &mut curves);
        }
        Self { materials, curves }
    }

    /// Lowers a size's price to that of its row.
    pub(super) fn lower(&mut self, size: &Size, price: f64) {
        let width = self.materials[size.material].units(size.width);
        let curve = self.curves.get_mut(&key(size));
        if let Some(value) = curve.and_then(|curve| curve.get_mut(width)) {
            *value = value.min(price);
        }
    }

    /// What one piece costs; infinite where nobody asked for pieces of that length before.
    pub fn of(&self, size: &Size) -> f64 {
        let width = self.materials[size.material].units(size.width);
        let curve = self.curves.get(&key(size));
        curve.and_then(|curve| curve.get(width)).copied().unwrap_or(f64::INFINITY)
    }
}

/// The curves of one material.
fn fill(
    material: &Material,
    table: &Table<'_>,
    keys: &[Key],
    curves: &mut BTreeMap<Key, Vec<f64>>,
) {
    let widest = material.widest();
    let most = widest.max(material.pull.min(2 * widest + 2000));
    let lengths: Vec<usize> = table.lengths().collect();
    let mut order: Vec<(usize, Key)> =
        keys.iter().map(|key| (material.units(key.1), *key)).collect();
    order.sort_unstable();
    // Upright: down the pull lengths with the least cost for every width so far.
    let mut least = vec![f64::INFINITY; widest + 1];
    let mut at = lengths.len();
    for &(length, key) in order.iter().rev() {
        while at > 0 && lengths[at - 1] > length {
            at -= 1;
            table.lower(at, &mut least);
        }
        let mut curve = vec![f64::INFINITY; most + 1];
        if key.2 && length <= material.pull {
            for (w, value) in curve.iter_mut().enumerate().take(widest + 1) {
                *value = least[w].min(table.exactly(length, w)) / DENOMINATOR;
            }
        }
        if key.3 && length <= widest {
            let mut sideways = vec![f64::INFINITY; most + 1];
            table.down(length, |long, cost| {
                if let Some(value) = sideways.get_mut(long) {
                    *value = cost;
                }
            });
            let mut longer = f64::INFINITY;
            for w in (1..=most.min(material.pull)).rev() {
                longer = longer.min(sideways[w]);
                let own = table.exactly(w, length);
                curve[w] = curve[w].min(own.min(longer) / DENOMINATOR);
            }
        }
        curves.insert(key, curve);
    }
}
