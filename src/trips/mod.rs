//! What is kept and sold: the stock and its worth, loads, tickets, prices over time, and the sums for bookkeeping.

mod books;
mod freed;
mod load;
mod load_plan;
mod load_remarks;
mod prices;
mod settle;
mod stock;
mod stock_worth;
pub mod tables;
mod ticket_file;

pub use books::Books;
pub use load::{Delivery, LoadOrder, LoadPlan};
pub use prices::{Course, OLD_PRICE, Point, PriceRecord, old_age};
pub use settle::{Interview, Prompt, SettledTicket, Settling};
pub use stock::Stock;
pub use stock_worth::{StockWorth, WorthRow};
pub use ticket_file::TicketFile;
