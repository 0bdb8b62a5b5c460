//! Open stacks against an exhaustive oracle and against published optima.

use crate::common;
use proptest::prelude::*;
use rollwright::sequence::{Instance, read, solve};

/// The least number of open stacks by dynamic programming over sets of products made: the cost of
/// making one more is the number of customers that have started, counting it, and have not
/// finished, not counting it. Independent of the customer search.
fn oracle(instance: &Instance) -> usize {
    let n = instance.products;
    let wants: Vec<usize> = instance.wants.iter().map(|w| w.iter().map(|p| 1 << p).sum()).collect();
    let mut best = vec![usize::MAX; 1 << n];
    best[0] = 0;
    for made in 0..1_usize << n {
        for product in (0..n).filter(|p| made >> p & 1 == 0) {
            let after = made | 1 << product;
            let open = wants.iter().filter(|&&w| w & after != 0 && w & !made != 0).count();
            best[after] = best[after].min(best[made].max(open));
        }
    }
    best[(1 << n) - 1]
}

fn instances() -> impl Strategy<Value = Instance> {
    (1..=9_usize, 1..=12_usize, 10..=60_u32).prop_flat_map(|(products, customers, density)| {
        let cell = prop::collection::vec(0..100_u32, products);
        prop::collection::vec(cell, customers).prop_map(move |rows| Instance {
            name: "random".to_owned(),
            products,
            wants: rows
                .iter()
                .map(|row| (0..products).filter(|&p| row[p] < density).collect())
                .collect(),
            published: None,
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(800))]

    #[test]
    fn the_search_agrees_with_the_oracle(instance in instances()) {
        let answer = solve(&instance, u64::MAX, &|| false);
        let best = oracle(&instance);
        prop_assert_eq!(answer.value, best);
        prop_assert_eq!(answer.bound, best);
        prop_assert_eq!(instance.open(&answer.order), best);
        let mut order = answer.order.0;
        order.sort_unstable();
        prop_assert_eq!(order, (0..instance.products).collect::<Vec<_>>());
    }
}

/// Faggioli and Bentivoglio, EJOR 110 (1998), 300 instances with proven optima; testing only.
#[test]
fn published_optima_of_faggioli_and_bentivoglio() {
    let file = "mosp_fb_scoop_chu.json";
    let Some(bytes) = common::shared_data(file) else { return };
    let (all, findings) = read(file, &bytes);
    assert!(findings.is_empty() && !all.is_empty(), "the set must be readable");
    for instance in &all {
        let answer = solve(instance, 10_000_000, &|| false);
        let published = instance.published.expect("every instance has its optimum");
        assert_eq!((answer.value, answer.bound), (published, published), "{}", instance.name);
    }
    assert_eq!(all.len(), 300);
}

#[test]
fn bad_files_are_refused_with_findings() {
    for (text, code) in [
        ("", "K001"),
        ("[", "K001"),
        ("[]", "K002"),
        ("{\"name\": \"a\"}", "K002"),
        (r#"{"name":"a","customers":0,"products":1,"matrix":[]}"#, "K003"),
        (r#"{"name":"a","customers":2,"products":1,"matrix":["1"]}"#, "K003"),
        (r#"{"name":"a","customers":1,"products":2,"matrix":["12"]}"#, "K003"),
    ] {
        let (instances, findings) = read("x.json", text.as_bytes());
        assert!(instances.is_empty());
        assert!(findings.iter().any(|f| f.code.id == code), "{text}: {findings:?}");
    }
    // Each entry that is wrong is named, all at once.
    let good = r#"{"name":"g","customers":1,"products":1,"matrix":["1"]}"#;
    let text = format!(
        r#"[{good}, {{"name":"b","customers":-1,"products":1,"matrix":["1"]}}, {{"customers":1}}, 7]"#
    );
    let told: Vec<String> =
        read("x.json", text.as_bytes()).1.iter().map(ToString::to_string).collect();
    let words = ["(b): error K002: entry 2 cannot be read", "(entry 3): error K002", "(entry 4)"];
    assert_eq!(told.len(), words.len(), "{told:?}");
    for (told, words) in told.iter().zip(words) {
        assert!(told.contains(words), "{told}");
    }
    assert!(told[0].contains("-1") && told[1].contains("missing field `name`"), "{told:?}");
}
