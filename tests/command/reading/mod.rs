//! Reading as a user meets it: forms of files, compression, folders, damage, sizes, threads.

mod compression;
mod damage;
mod folders;
mod forms;
mod sizes;
mod threads;
