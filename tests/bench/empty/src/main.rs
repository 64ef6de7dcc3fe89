use leptos::prelude::*;

fn main() {
    mount_to_body(|| view! { <main><h1>"Empty"</h1></main> });
}
