//! Work that broke off at a fault of the program: what it said last, in words for the pages.

use std::any::Any;

use tokio::task::JoinError;

/// Why work broke off, from what its panic said.
pub(crate) fn panic_words(panic: &(dyn Any + Send + 'static)) -> String {
    let text = panic.downcast_ref::<&str>().copied();
    let said = text.or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    format!("it broke off at a fault of the program ({})", said.unwrap_or("without a word"))
}

/// Why a task did not come to its end.
pub(crate) fn broken_task_words(error: JoinError) -> String {
    match error.try_into_panic() {
        Ok(panic) => panic_words(&*panic),
        Err(_) => String::from("it was stopped before it was done"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn break_off() -> u8 {
        panic!("no plan of step 3")
    }

    #[tokio::test]
    async fn a_task_that_broke_off_says_why() {
        let broken = tokio::task::spawn_blocking(break_off).await.expect_err("it breaks off");
        let words = broken_task_words(broken);
        assert_eq!(words, "it broke off at a fault of the program (no plan of step 3)");
    }

    #[tokio::test]
    async fn a_task_that_was_stopped_says_so() {
        let task = tokio::spawn(std::future::pending::<u8>());
        task.abort();
        let stopped = task.await.expect_err("it is stopped");
        assert_eq!(broken_task_words(stopped), "it was stopped before it was done");
    }

    #[test]
    fn a_panic_without_words_is_told_as_well() {
        assert_eq!(panic_words(&7_u8), "it broke off at a fault of the program (without a word)");
        assert_eq!(panic_words(&"torn"), "it broke off at a fault of the program (torn)");
    }
}
