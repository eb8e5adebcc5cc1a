//! How many random cases a test tries.

/// So many in the quick run, and `SQUITTERLAB_TEST_TIMES` times as many where that is set, as `tests/run --long` does.
pub fn cases(quick: u32) -> u32 {
    std::env::var("SQUITTERLAB_TEST_TIMES").map_or(quick, |times| {
        let times: u32 = times.parse().expect("SQUITTERLAB_TEST_TIMES is a whole number");
        assert!(times > 0, "SQUITTERLAB_TEST_TIMES is at least 1");
        quick.checked_mul(times).expect("no more cases than a test can count")
    })
}
