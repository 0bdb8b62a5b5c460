//! The minimisation of open stacks.
//!
//! Given which customer wants which product: order the products so that the greatest number of
//! customers with some but not all of their products made is least. A customer counts from its
//! first product to its last, both included.
//!
//! Steps: build the customer graph (two customers are neighbours when they want a common
//! product); split into connected parts; settle each by closing customers (Chu and Stuckey,
//! "Minimizing the maximum number of open stacks by customer search", CP 2009; [`part`]).

use super::bits::Set;
use super::graph::Graph;
use super::part;
use super::search::Effort;

/// Which customer wants which product.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instance {
    /// Its name.
    pub name: String,
    /// How many products there are.
    pub products: usize,
    /// For each customer the products it wants, increasing.
    pub wants: Vec<Vec<usize>>,
    /// The published optimum, where there is one.
    pub published: Option<usize>,
}

/// An order of the products.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order(pub Vec<usize>);

/// An order with what it is worth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// Every product once.
    pub order: Order,
    /// The most customers open at once under that order.
    pub value: usize,
    /// No order has fewer.
    pub bound: usize,
}

impl Instance {
    /// The most customers open at once under an order of the products.
    #[must_use]
    pub fn open(&self, order: &Order) -> usize {
        self.open_over_time(order).into_iter().max().unwrap_or(0)
    }

    /// How many customers are open while each product of the order is made.
    #[must_use]
    pub fn open_over_time(&self, order: &Order) -> Vec<usize> {
        let mut made_at = vec![0; self.products];
        for (time, &product) in order.0.iter().enumerate() {
            made_at[product] = time;
        }
        let mut change = vec![0_isize; order.0.len() + 1];
        for wants in &self.wants {
            let times = wants.iter().map(|&p| made_at[p]);
            if let (Some(first), Some(last)) = (times.clone().min(), times.max()) {
                change[first] += 1;
                change[last + 1] -= 1;
            }
        }
        let mut open = 0_isize;
        change
            .iter()
            .take(order.0.len())
            .map(|step| {
                open += step;
                open.unsigned_abs()
            })
            .collect()
    }

    /// The order of products in which customers are closed as listed: each customer's products
    /// that are not made yet, then those that nobody wants.
    fn products_closing(&self, customers: &[usize]) -> Order {
        let mut made = vec![false; self.products];
        let wanted = customers.iter().flat_map(|&c| self.wants[c].iter().copied());
        let mut order = Vec::with_capacity(self.products);
        for product in wanted.chain(0..self.products) {
            if !std::mem::replace(&mut made[product], true) {
                order.push(product);
            }
        }
        Order(order)
    }
}

/// Finds the best order; `stop` is asked every few thousand nodes and makes the search give up
/// with what it has. `work` bounds the nodes of each part.
#[must_use]
pub fn solve(instance: &Instance, work: u64, stop: &dyn Fn() -> bool) -> Answer {
    match instance.wants.len() {
        0..=64 => solve_sized::<1>(instance, work, stop),
        65..=128 => solve_sized::<2>(instance, work, stop),
        129..=256 => solve_sized::<4>(instance, work, stop),
        257..=512 => solve_sized::<8>(instance, work, stop),
        _ => unbounded_by_search(instance),
    }
}

fn solve_sized<const W: usize>(instance: &Instance, work: u64, stop: &dyn Fn() -> bool) -> Answer {
    let graph = Graph::<W>::of(instance);
    let mut closing = Vec::with_capacity(instance.wants.len());
    let (mut value, mut bound) = (0, 0);
    for part in graph.parts() {
        let effort = Effort { left: work, stop };
        let settled = part::settled(&graph, &part, bound, effort);
        value = value.max(settled.most);
        bound = bound.max(settled.least);
        closing.extend(settled.closing);
    }
    let order = instance.products_closing(&closing);
    debug_assert_eq!(instance.open(&order), value);
    let value = instance.open(&order);
    Answer { order, value, bound: bound.min(value) }
}

/// More customers than the search holds: the products in a greedy order of customers by the
/// number of products, and the widest product as the bound.
fn unbounded_by_search(instance: &Instance) -> Answer {
    let mut customers: Vec<usize> = (0..instance.wants.len()).collect();
    customers.sort_by_key(|&c| (instance.wants[c].len(), c));
    let order = instance.products_closing(&customers);
    let mut wanted_by = vec![0; instance.products];
    for &product in instance.wants.iter().flatten() {
        wanted_by[product] += 1;
    }
    let value = instance.open(&order);
    Answer { order, value, bound: wanted_by.into_iter().max().unwrap_or(0).min(value) }
}

impl<const W: usize> Graph<W> {
    /// Closed neighbourhoods from the wants.
    fn of(instance: &Instance) -> Self {
        let n = instance.wants.len();
        let mut buyers = vec![Set::EMPTY; instance.products];
        for (customer, wants) in instance.wants.iter().enumerate() {
            for &product in wants {
                buyers[product].insert(customer);
            }
        }
        let near = (0..n)
            .map(|c| instance.wants[c].iter().fold(Set::EMPTY, |set, &p| set.or(&buyers[p])))
            .collect();
        Self::new(near)
    }
}
