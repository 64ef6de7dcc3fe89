//! A time limit.

use crate::disk::Later;
use std::future::poll_fn;
use std::pin::pin;
use std::task::Poll;

/// What `work` gives, or nothing when `limit` comes back first.
pub(crate) async fn within<T>(work: impl Future<Output = T>, mut limit: Later<()>) -> Option<T> {
    let mut work = pin!(work);
    poll_fn(move |cx| match work.as_mut().poll(cx) {
        Poll::Ready(done) => Poll::Ready(Some(done)),
        Poll::Pending => limit.as_mut().poll(cx).map(|()| None),
    })
    .await
}
