//! The lab in one file, once `.ci/release lab` has made it: opened from the disk in both browsers, it does what the page
//! does, and asks nobody.

use crate::browser::Browser;
use std::path::PathBuf;

/// The file, or none where it was not made.
fn file() -> Option<PathBuf> {
    let made = std::env::var_os("SQUITTERLAB_LAB").map_or_else(
        || {
            let name = format!("target/release-packages/squitterlab-{}-lab.html", env!("CARGO_PKG_VERSION"));
            PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name)
        },
        PathBuf::from,
    );
    if !made.exists() {
        eprintln!("not tested: {} is missing; .ci/release lab makes it", made.display());
    }
    made.exists().then_some(made)
}

#[test]
fn it_opens_from_the_disk() {
    let Some(file) = file() else { return };
    if let Some(browser) = Browser::open("one_file") {
        works_in(&browser, &file);
    }
}

#[test]
fn it_opens_from_the_disk_in_another_browser() {
    let Some(file) = file() else { return };
    if let Some(browser) = Browser::open_firefox("one_file_firefox") {
        works_in(&browser, &file);
    }
}

fn works_in(browser: &Browser, file: &std::path::Path) {
    let link = format!("file://{}", file.display());
    browser.set_size(1280, 900);
    browser.go(&link);
    browser.until("document.body.dataset.ready && document.querySelector('#door-verdict .st')");

    // The invented example: a profile and a capture, compared.
    browser.click("#start-example");
    browser.until("document.querySelector('#verdict-answer').innerText.includes('verdict: differs')");
    browser.until("document.querySelector('#verdict-state').innerText.includes('compared with')");
    assert!(browser.text("#verdict-answer").contains("prefix"), "{}", browser.text("#verdict-answer"));

    // A frame that is pasted goes to Bits, and a bit can be changed.
    browser.click("header a[href='#start']");
    browser.type_into("#start-paste", "8DA5C035213B4DD16208206CA0A9");
    browser.click("#start-form button");
    browser.until("document.querySelector('#bits-ruler .bit') && !document.querySelector('#bits').hidden");
    browser.script("document.querySelector('#bits-ruler [data-bit=\"40\"]').click()");
    browser.until("document.querySelector('#bits-card [data-flip=\"40\"]')");
    browser.script("document.querySelector('#bits-card [data-flip=\"40\"]').click()");
    browser.until("document.querySelector('#bits-changed').innerText.includes('Bit 40: 1 to 0')");

    // A setting of the install shows the bits that it decides.
    browser.click("header a[href='#install']");
    browser.until("document.querySelector(\"[data-pointer='/aircraft/length'] .on-air\").innerText.includes('0001')");

    // Every other view begins.
    for (view, filled) in [
        ("steps", "#steps .answer > *"),
        ("learn", "#learn-begin > *"),
        ("practice", "#practice-exercise .exercise"),
        ("reference", "#reference-found > *"),
    ] {
        browser.click(&format!("header a[href='#{view}']"));
        browser.until(&format!("!document.querySelector('#{view}').hidden && document.querySelector('{filled}')"));
    }

    // Nothing failed, and nothing was loaded from anywhere.
    assert_eq!(browser.complaints(), Vec::<serde_json::Value>::new());
    let loaded = browser.script("return performance.getEntriesByType('resource').map((each) => each.name).filter((name) => !/^(data|blob):/.test(name))");
    assert_eq!(loaded, serde_json::json!([]));
}
